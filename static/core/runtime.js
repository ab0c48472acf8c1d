/**
 * The one door to the calculation core: start it, ask it, restart it when it hangs.
 *
 * @typedef {{ state: "starting" | "ready" | "failed", sha256: string, why: string | null }} CoreStatus
 * @typedef {{ text: string, id: number, resolve: (answer: any) => void, reject: (error: Error) => void }} Waiting
 */
import { scriptUrl } from "../trusted.js";

/** Loading on a slow phone takes seconds; a plan takes a fraction of one. */
const START_MS = 60_000;
const ANSWER_MS = 20_000;

/** The core could not answer; the reason is in `message`. Nothing was guessed in its place. */
export class CoreFailed extends Error {
  name = "CoreFailed";
}

/** @type {Worker | null} */
let worker = null;
/** @type {CoreStatus} */
let status = { state: "starting", sha256: "", why: null };
let lastId = 0;
/** @type {Map<number, Waiting>} */
const waiting = new Map();
/** @type {Set<(status: CoreStatus) => void>} */
const listeners = new Set();
/** @type {ReturnType<typeof setTimeout> | undefined} */
let timer;

/** Start the core if it is not started; never waits. */
export function startCore() {
  if (worker) return;
  setStatus({ state: "starting", sha256: __BUILD__.coreSha256, why: null });
  const started = new Worker(/** @type {string} */ (scriptUrl(__BUILD__.workerUrl)), {
    type: "module",
  });
  worker = started;
  started.addEventListener("message", ({ data }) => {
    if (worker === started) hear(data);
  });
  started.addEventListener("error", (event) => {
    if (worker === started) fail(event.message || "the worker could not be loaded");
  });
  const { coreUrl, coreSha256: sha256, wasmUrl } = __BUILD__;
  started.postMessage({ do: "start", coreUrl, sha256, wasmUrl });
  watch(START_MS);
}

/**
 * Return the state of the core.
 *
 * @returns {CoreStatus}
 */
export function coreStatus() {
  return status;
}

/**
 * Call `listener` when the state changes; return how to stop.
 *
 * @param {(status: CoreStatus) => void} listener
 * @returns {() => void}
 */
export function onCoreStatus(listener) {
  listeners.add(listener);
  return () => void listeners.delete(listener);
}

/**
 * Ask the core; an answer that carries `error` is returned as it is.
 *
 * @param {object} request
 * @returns {Promise<any>}
 * @throws {CoreFailed} the core cannot answer
 */
export function callCore(request) {
  startCore();
  return new Promise((resolve, reject) => {
    lastId += 1;
    const call = { id: lastId, text: JSON.stringify(request), resolve, reject };
    waiting.set(call.id, call);
    if (status.state === "ready") send(call);
  });
}

/** @param {{ is: string, id: number, text: string, why: string }} message */
function hear(message) {
  if (message.is === "failed") return fail(message.why);
  if (message.is === "ready") {
    setStatus({ state: "ready", sha256: __BUILD__.coreSha256, why: null });
    clearTimeout(timer);
    for (const call of waiting.values()) send(call);
    return;
  }
  waiting.get(message.id)?.resolve(JSON.parse(message.text));
  waiting.delete(message.id);
  // The thread answers one question at a time, so each answer starts the next one's clock.
  if (waiting.size > 0) watch(ANSWER_MS);
  else clearTimeout(timer);
}

/** @param {Waiting} call */
function send({ id, text }) {
  worker?.postMessage({ do: "call", id, text });
  watch(ANSWER_MS);
}

/** @param {number} limitMs */
function watch(limitMs) {
  clearTimeout(timer);
  timer = setTimeout(() => fail(`no answer within ${limitMs / 1000} seconds`), limitMs);
}

/** @param {string} why */
function fail(why) {
  clearTimeout(timer);
  worker?.terminate();
  worker = null;
  setStatus({ state: "failed", sha256: __BUILD__.coreSha256, why });
  const message = `The calculation could not run on this phone: ${why}. What you saved is safe.`;
  for (const call of waiting.values()) call.reject(new CoreFailed(message));
  waiting.clear();
}

/** @param {CoreStatus} next */
function setStatus(next) {
  status = next;
  for (const listener of listeners) listener(status);
}
