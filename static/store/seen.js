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

/**
 * Return everything a person has seen, by key without the person's own prefix.
 *
 * @param {string} userId
 * @returns {Promise<Map<string, any>>}
 */
export async function allSeen(userId) {
  const rows = await withDatabase((database) => database.getAll("seen"));
  const own = rows.filter(({ key }) => key.startsWith(`${userId}/`));
  return new Map(own.map(({ key, value }) => [key.slice(userId.length + 1), value]));
}
