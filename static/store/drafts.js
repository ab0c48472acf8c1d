/**
 * What is being typed, kept at each key press so that a killed or reloaded app loses nothing.
 *
 * The writes are strict: a killed Chromium was seen to lose relaxed ones, and a draft that comes
 * back after its value was saved would invite saving it twice.
 */
import { withDatabase, writeStrictly } from "./idb.js";

/**
 * @typedef {{ key: string, value: unknown, saved: string }} Draft
 */

/**
 * Keep what has been typed so far under a key such as `capture/ID/R/reading.refraction`.
 *
 * @param {string} key
 * @param {unknown} value plain data
 */
export async function keepDraft(key, value) {
  const saved = new Date().toISOString();
  await writeStrictly(["drafts"], (transaction) =>
    transaction.objectStore("drafts").put({ key, value, saved }),
  );
}

/**
 * Return what was typed, or null.
 *
 * @param {string} key
 * @returns {Promise<any>}
 */
export async function readDraft(key) {
  const draft = await withDatabase((database) => database.get("drafts", key));
  return draft?.value ?? null;
}

/**
 * Forget a draft, because it was saved or thrown away.
 *
 * @param {string} key
 */
export async function dropDraft(key) {
  await writeStrictly(["drafts"], (transaction) => transaction.objectStore("drafts").delete(key));
}

/**
 * Return every draft; while there is one, the app does not change its version.
 *
 * @returns {Promise<Draft[]>}
 */
export function openDrafts() {
  return withDatabase((database) => database.getAll("drafts"));
}
