/**
 * Which people's records lie at the base only: one row each in the store of facts.
 *
 * What is kept here of such a person is the registration, for the list and for noticing that somebody
 * is registered twice.
 *
 * @typedef {{ person: string, back_on: string | null, news: number }} PutOff
 *   `back_on`: the day from which they are wanted here again; `news`: how many newer ones of
 *   theirs a page brought, which were passed over
 */
import { withDatabase } from "./idb.js";

const FIRST = "put-off/";

/** @param {string | null} person */
export const putOffName = (person) => `${FIRST}${person}`;

/** The range of those rows. */
export const putOffRange = () => IDBKeyRange.bound(FIRST, `${FIRST}\uffff`);

/** @returns {Promise<PutOff[]>} */
export async function putOff() {
  const rows = await withDatabase((database) => database.getAll("meta", putOffRange()));
  return rows.map(({ value }) => value);
}

/**
 * Say whether a person's records lie at the base only.
 *
 * @param {string} person
 */
export async function isPutOff(person) {
  return (await withDatabase((database) => database.count("meta", putOffName(person)))) > 0;
}

/**
 * Return how many newer records of a person were passed over; undefined where they are not put off.
 *
 * @param {string} person
 * @returns {Promise<number | undefined>}
 */
export async function newsOf(person) {
  return (await withDatabase((database) => database.get("meta", putOffName(person))))?.value.news;
}
