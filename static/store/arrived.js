/** What the base has acknowledged of a key's newest records, so that "sent" can be seen. */
import { withDatabase } from "./idb.js";
import { openedRows } from "./rows.js";

const NEWEST = 50;

/**
 * Return the newest records of a key that are at the base, the newest first.
 *
 * @param {string} kid
 * @param {string} since ISO instant; older ones are left out
 * @returns {Promise<{ id: string, kind: string, person: string | null, eye: "R" | "L" | null, wall: string }[]>}
 */
export async function arrivedSince(kid, since) {
  const head = await withDatabase((database) => database.get("heads", kid));
  const found = [];
  for (let top = head?.seq ?? 0; top > 0 && found.length < NEWEST; top -= NEWEST) {
    const rows = await recordsUpTo(kid, top);
    found.push(...rows.filter(({ payload, received }) => payload.wall >= since && received !== null));
    if (rows.some(({ payload }) => payload.wall < since)) break;
  }
  return found.slice(0, NEWEST).map(({ id, kind, person, payload: { eye, wall } }) => ({ id, kind, person, eye, wall }));
}

/**
 * Return the records at `top` and the places just below it in a key's chain, the newest first.
 *
 * @param {string} kid
 * @param {number} top
 */
async function recordsUpTo(kid, top) {
  const range = IDBKeyRange.bound([kid, top - NEWEST + 1], [kid, top]);
  const kept = await withDatabase((database) => database.getAllFromIndex("records", "chain", range));
  return (await openedRows(kept.filter(({ state }) => state === "ok"))).reverse();
}
