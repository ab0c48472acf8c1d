/** What a person last saw of a thing, so that a queue can say what changed since. */
import { withDatabase } from "./idb.js";

/**
 * Remember what was seen.
 *
 * @param {string} key such as `u-verrill/PERSON.R`
 * @param {unknown} value plain data
 */
export async function markSeen(key, value) {
  await withDatabase((database) => database.put("seen", { key, value }));
}

/**
 * Return what was last seen, or null.
 *
 * @param {string} key
 * @returns {Promise<any>}
 */
export async function seenOf(key) {
  const row = await withDatabase((database) => database.get("seen", key));
  return row?.value ?? null;
}
