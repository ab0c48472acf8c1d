/**
 * Telling this tab and the other tabs that the store changed, and nothing about what is in it.
 *
 * @typedef {{ why: "record" | "receipt" | "page" | "restart" | "identity", persons: string[] }} News
 * @typedef {News & { fromOtherTab: boolean }} Change
 */

/** @type {Set<(change: Change) => void>} */
const listeners = new Set();
const channel = globalThis.window && "BroadcastChannel" in window ? openChannel() : null;

/**
 * Call `listener` after each change, whichever tab made it; return how to stop.
 *
 * @param {(change: Change) => void} listener
 * @returns {() => void}
 */
export function onChange(listener) {
  listeners.add(listener);
  return () => void listeners.delete(listener);
}

/**
 * Tell everybody.
 *
 * @param {News} news
 */
export function announce(news) {
  hear({ ...news, fromOtherTab: false });
  channel?.postMessage(news);
}

/** @param {Change} change */
function hear(change) {
  for (const listener of listeners) listener(change);
}

function openChannel() {
  const opened = new BroadcastChannel("lampside");
  opened.addEventListener("message", ({ data }) => hear({ ...data, fromOtherTab: true }));
  return opened;
}
