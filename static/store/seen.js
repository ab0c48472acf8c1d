/** What a person last saw of a thing, so that a queue can say what changed since. */
import { withDatabase } from "./idb.js";
import { orBroken } from "./rows.js";
import { opened, sealed } from "./vault.js";

/**
 * Remember what was seen.
 *
 * @param {string} key such as `u-verrill/PERSON.R`
 * @param {unknown} value plain data
 */
export async function markSeen(key, value) {
  const box = await sealed(placeOf(key), value);
  await withDatabase((database) => database.put("seen", { key, box }));
}

/**
 * Return what was last seen, or null.
 *
 * @param {string} key
 * @returns {Promise<any>}
 */
export async function seenOf(key) {
  const row = await withDatabase((database) => database.get("seen", key));
  return row ? opened(placeOf(key), row.box) : null;
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
  const entries = own.map(async ({ key, box }) => {
    // What does not open was not seen: the row is shown as news.
    const value = await orBroken(() => opened(placeOf(key), box));
    return /** @type {[string, any]} */ ([key.slice(userId.length + 1), value]);
  });
  return new Map(await Promise.all(entries));
}

/** @param {string} key */
const placeOf = (key) => `seen/${key}`;
