/** A short account of each person, written after each calculation, so lists need no calculation. */
import { withDatabase } from "./idb.js";

/**
 * Keep the latest account of a person.
 *
 * @param {string} person
 * @param {object} summary plain data of the caller's own shape
 */
export async function keepSummary(person, summary) {
  await withDatabase((database) => database.put("summaries", { person, summary }));
}

/**
 * Return the latest account of a person, or null.
 *
 * @param {string} person
 * @returns {Promise<any>}
 */
export async function summaryOf(person) {
  const row = await withDatabase((database) => database.get("summaries", person));
  return row?.summary ?? null;
}

/**
 * Return person -> account, for everybody who has one.
 *
 * @returns {Promise<Map<string, any>>}
 */
export async function allSummaries() {
  const rows = await withDatabase((database) => database.getAll("summaries"));
  return new Map(rows.map(({ person, summary }) => [person, summary]));
}
