/**
 * The calculation core in its own thread: the server's Python files, run by MicroPython.
 *
 * Only JSON text crosses between JavaScript and Python; numbers and objects would be altered on
 * the way. Nothing is answered before the files have proved to be the named ones and every
 * self-test answer agreed.
 *
 * Messages in: {do: "start", coreUrl, sha256, wasmUrl} and {do: "call", id, text}.
 * Messages out: {is: "ready", sha256}, {is: "failed", why}, {is: "answer", id, text}.
 */
import { loadMicroPython } from "@micropython/micropython-webassembly-pyscript/micropython.mjs";
import { coreIdentity, differences } from "./proof.js";

const HEAP_BYTES = 16 * 1024 * 1024;
const DOOR = "from webapp.core.door import call";

/** @type {((text: string) => string) | null} */
let call = null;

const scope = /** @type {DedicatedWorkerGlobalScope} */ (/** @type {unknown} */ (self));

scope.addEventListener("message", ({ data }) => {
  if (data.do === "start") void start(data);
  if (data.do === "call") answer(data);
});

/** @param {{ coreUrl: string, sha256: string, wasmUrl: string }} addresses */
async function start({ coreUrl, sha256, wasmUrl }) {
  try {
    const bundle = await fetchBundle(coreUrl, sha256);
    const door = await openDoor(bundle.files, wasmUrl);
    const differing = differences(bundle.selftest, door);
    if (differing.length > 0) throw new Error(`self-test differs: ${differing.join("; ")}`);
    call = door;
    scope.postMessage({ is: "ready", sha256 });
  } catch (error) {
    scope.postMessage({ is: "failed", why: String(/** @type {Error} */ (error).message) });
  }
}

/** @param {{ id: number, text: string }} request */
function answer({ id, text }) {
  if (!call) return;
  try {
    scope.postMessage({ is: "answer", id, text: call(text) });
  } catch (error) {
    scope.postMessage({ is: "failed", why: String(/** @type {Error} */ (error).message) });
  }
}

/**
 * @param {string} coreUrl
 * @param {string} sha256
 * @returns {Promise<{ files: Record<string, string>, selftest: { call: object, expect: unknown }[] }>}
 */
async function fetchBundle(coreUrl, sha256) {
  const response = await fetch(coreUrl);
  if (!response.ok) throw new Error(`the core could not be loaded (${response.status})`);
  const bundle = await response.json();
  const found = await coreIdentity(bundle.files);
  if (found !== sha256) throw new Error("the core's files are not the ones this app was built with");
  return bundle;
}

/**
 * @param {Record<string, string>} files
 * @param {string} wasmUrl
 * @returns {Promise<(text: string) => string>}
 */
async function openDoor(files, wasmUrl) {
  const python = await loadMicroPython({ url: wasmUrl, heapsize: HEAP_BYTES });
  for (const [path, text] of Object.entries(files)) {
    python.FS.mkdirTree(`/${path.slice(0, path.lastIndexOf("/"))}`);
    python.FS.writeFile(`/${path}`, text);
  }
  python.runPython(`import sys\nsys.path.append("/")\n${DOOR}`);
  return /** @type {(text: string) => string} */ (python.globals.get("call"));
}
