/**
 * What the app knows about its exchange with the base, for every screen to show.
 *
 * @import { Standing } from "../store/key_standing.js"
 * @typedef {{ kid: string, user: string, name: string, label: string, last_heard: string | null, sent?: number }} Device
 * @typedef {{ id: string, result: "agrees" | "differs" | "unknown_core", text: string }} Check
 *
 * @typedef {object} SyncStatus
 * @property {boolean} online what the browser believes; only an answer proves it
 * @property {string | null} lastHeard when the base last answered
 * @property {number} waiting
 * @property {number} refused
 * @property {number} aside records of the base that could not be taken in here
 * @property {boolean} syncing
 * @property {boolean} needsSignIn
 * @property {number | null} skewMs this phone's clock minus the base's
 * @property {string | null} message what went wrong last, or null
 * @property {string | null} serverCore name of the core the base calculates with
 * @property {Device[]} devices
 * @property {Standing | null} standing how the base judges the key of who works here
 * @property {Check[]} checks the base's own calculation of each plan, beside ours
 */
import { setAside } from "../store/aside.js";
import { keepSealedFact, readSealedFact } from "../store/meta.js";
import { heldKeys } from "../store/vault.js";
import { counts } from "../store/outbox.js";

/** @type {SyncStatus} */
let status = {
  online: globalThis.navigator?.onLine ?? true,
  lastHeard: null,
  waiting: 0,
  refused: 0,
  aside: 0,
  syncing: false,
  needsSignIn: false,
  skewMs: null,
  message: null,
  serverCore: null,
  standing: null,
  devices: [],
  checks: [],
};
/** @type {Set<(status: SyncStatus) => void>} */
const listeners = new Set();

/**
 * Return what is known now.
 *
 * @returns {SyncStatus}
 */
export function syncStatus() {
  return status;
}

/**
 * Call `listener` when anything of it changes; return how to stop.
 *
 * @param {(status: SyncStatus) => void} listener
 * @returns {() => void}
 */
export function onSyncStatus(listener) {
  listeners.add(listener);
  return () => void listeners.delete(listener);
}

/**
 * Change some of it.
 *
 * @param {Partial<SyncStatus>} part
 */
export function setStatus(part) {
  status = { ...status, ...part };
  for (const listener of listeners) listener(status);
}

/** Count the outbox again. */
export async function recount() {
  setStatus({ ...(await counts()), aside: (await setAside()).length });
}

/** Take over what was known when the app was last open; a locked phone tells only its counts. */
export async function recall() {
  setStatus(heldKeys() ? await readSealedFact("heard") : {});
  await recount();
}

/**
 * Note what the base says of itself, and keep it for the next start without a network.
 *
 * @param {{ server_time: string, core: string, devices: Device[], checks: Check[] }} answer
 * @param {number} askedMs this phone's clock when the question left
 */
export async function noteHeard(answer, askedMs) {
  const nowMs = Date.now();
  // The answer was written somewhere between the two; half the round trip is the fair guess.
  const skewMs = Math.round((askedMs + nowMs) / 2 - Date.parse(answer.server_time));
  const { core: serverCore, devices, checks } = answer;
  const heard = { lastHeard: new Date(nowMs).toISOString(), skewMs, serverCore, devices, checks };
  await keepSealedFact("heard", heard);
  setStatus(heard);
}
