/** What the base has acknowledged of a key's newest records, so that "sent" can be seen. */
import { withDatabase } from "./idb.js";

const NEWEST = 50;

/**
 * Return the newest records of a key that are at the base, the newest first.
 *
 * @param {string} kid
 * @param {string} since ISO instant; older ones are left out
 * @returns {Promise<{ id: string, kind: string, person: string | null, eye: "R" | "L" | null, wall: string }[]>}
 */
export function arrivedSince(kid, since) {
  return withDatabase(async (database) => {
    const chain = database.transaction("records").store.index("chain");
    const range = IDBKeyRange.bound([kid, 0], [kid, Number.MAX_SAFE_INTEGER]);
    const found = [];
    for (let at = await chain.openCursor(range, "prev"); at; at = await at.continue()) {
      const { id, kind, person, payload, received } = at.value;
      if (payload.wall < since || found.length === NEWEST) break;
      if (received !== null) found.push({ id, kind, person, eye: payload.eye, wall: payload.wall });
    }
    return found;
  });
}
