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
