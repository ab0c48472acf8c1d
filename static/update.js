/**
 * A new version of the app: noticed, shown as ready, taken only when nothing is being typed.
 *
 * @typedef {{ ready: boolean, why: string | null }} UpdateStatus
 */
import { countDrafts } from "./store/drafts.js";
import { scriptUrl } from "./trusted.js";

const READY = "It starts when nothing is being typed.";
const DRAFT_OPEN =
  "Something is typed but not saved. Save it or throw it away first; the new version waits.";

/** @type {ServiceWorkerRegistration | null} */
let registration = null;
/** @type {Set<(status: UpdateStatus) => void>} */
const listeners = new Set();
let isReloading = false;
let isRefused = false;

/** Register the service worker and watch for new versions. */
export async function watchForUpdates() {
  const workers = globalThis.navigator?.serviceWorker;
  if (!workers) return;
  // The very first worker takes over a page that already is the newest version: no reload then.
  const hadWorker = workers.controller !== null;
  workers.addEventListener("controllerchange", () => {
    if (hadWorker) reloadOnce();
  });
  const address = /** @type {string} */ (scriptUrl("/sw.js"));
  registration = await workers.register(address, { updateViaCache: "none" });
  registration.addEventListener("updatefound", watchInstalling);
  watchInstalling();
  tell();
}

/** Ask the server for a newer version; without the network nothing happens. */
export async function lookForUpdate() {
  await registration?.update().catch(() => undefined);
}

/**
 * Return whether a new version waits on this phone.
 *
 * @returns {UpdateStatus}
 */
export function updateStatus() {
  const isReady = Boolean(registration?.waiting);
  const why = isRefused ? DRAFT_OPEN : READY;
  return { ready: isReady, why: isReady ? why : null };
}

/**
 * Call `listener` when that changes; return how to stop.
 *
 * @param {(status: UpdateStatus) => void} listener
 * @returns {() => void}
 */
export function onUpdate(listener) {
  listeners.add(listener);
  return () => void listeners.delete(listener);
}

/**
 * Start the new version, unless something is typed and not saved.
 *
 * @returns {Promise<{ ok: boolean, why: string | null }>}
 */
export async function takeUpdate() {
  if (!registration?.waiting) return { ok: false, why: "There is no new version on this phone." };
  isRefused = (await countDrafts()) > 0;
  tell();
  if (isRefused) return { ok: false, why: DRAFT_OPEN };
  registration.waiting.postMessage("take-over");
  return { ok: true, why: null };
}

function reloadOnce() {
  if (isReloading) return;
  isReloading = true;
  location.reload();
}

function watchInstalling() {
  registration?.installing?.addEventListener("statechange", tell);
}

function tell() {
  for (const listener of listeners) listener(updateStatus());
}
