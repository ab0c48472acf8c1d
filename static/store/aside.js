/**
 * Records of the base that this phone could not take in: where they stand there, and why not.
 *
 * One such record stops nothing else. Its bytes are not kept: the base has them, and is asked for
 * them again at each exchange, since a newer app or a newer list of keys may read them.
 *
 * @typedef {{ site: string, n: number, why: string }} Aside
 */
import { withDatabase } from "./idb.js";

const FIRST = "aside/";
const LAST = "aside/\uffff";

/**
 * Return a set-aside record as a row of the store of facts.
 *
 * @param {Aside} aside
 */
export function asideRow(aside) {
  // Padded, so that the rows lie in the order of the base's numbers.
  return { name: `${FIRST}${aside.site}/${String(aside.n).padStart(16, "0")}`, value: aside };
}

/** The range of those rows. */
export const asideRange = () => IDBKeyRange.bound(FIRST, LAST);

/**
 * Return what was set aside, the oldest of each site first.
 *
 * @returns {Promise<Aside[]>}
 */
export async function setAside() {
  const rows = await withDatabase((database) => database.getAll("meta", asideRange()));
  return rows.map(({ value }) => value);
}
