/** What runs once when the app opens; the first screen waits for none of it. */
import { startCore } from "./core/runtime.js";
import { keepPartsOfWhoWorks } from "./parts.js";
import { askToKeepStorage } from "./store/storage.js";
import { onSyncStatus, startSync } from "./sync/client.js";
import { lookForUpdate, watchForUpdates } from "./update.js";

/** The longest wait for a quiet moment [ms]; a screen that needs the core starts it at once. */
const PATIENCE_MS = 1_500;

/** A first page that never comes must not keep a new version away for ever [ms]. */
const FIRST_PAGE_MS = 5_000;

/**
 * Start the exchange with the base, the calculation core and the service worker.
 *
 * @param {Promise<void>} firstPage settles when the first page stands
 */
export function boot(firstPage) {
  startSync();
  lookWhenCoresDiffer();
  // On a slow phone these would take the processor from the first list. A quiet moment alone is
  // no sign: there is one while the records are being read.
  const shown = new Promise((resolve) => void firstPage.finally(() => resolve(undefined)));
  const waited = new Promise((resolve) => setTimeout(resolve, FIRST_PAGE_MS));
  void Promise.race([shown, waited]).then(() => whenQuiet(startTheRest));
}

function startTheRest() {
  startCore();
  void watchForUpdates();
  void askToKeepStorage();
  keepPartsOfWhoWorks();
}

/** An app that stays open for days looks for its new version when the base has another core. */
function lookWhenCoresDiffer() {
  let seen = __BUILD__.coreSha256;
  onSyncStatus(({ serverCore }) => {
    if (serverCore === null || serverCore === seen) return;
    seen = serverCore;
    void lookForUpdate();
  });
}

/** @param {() => void} work */
function whenQuiet(work) {
  if ("requestIdleCallback" in globalThis) requestIdleCallback(work, { timeout: PATIENCE_MS });
  else setTimeout(work, PATIENCE_MS / 3);
}
