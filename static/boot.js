/** What runs once when the app opens; the first screen waits for none of it. */
import { startCore } from "./core/runtime.js";
import { askToKeepStorage } from "./store/storage.js";
import { startSync } from "./sync/client.js";
import { watchForUpdates } from "./update.js";

/** Start the service worker, the calculation core and the exchange with the base. */
export function boot() {
  startSync();
  void askToKeepStorage();
  // The first list is drawn before the core takes a slow phone's attention.
  requestAnimationFrame(() => setTimeout(startCore));
  void watchForUpdates();
}
