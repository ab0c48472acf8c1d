/** A short account of each person, written after each calculation, so lists need no calculation. */
import { withDatabase } from "./idb.js";
import { opened, sealed } from "./vault.js";

/** @import { Box } from "./box.js" */

/**
 * Keep the latest account of a person.
 *
 * @param {string} person
 * @param {object} summary plain data of the caller's own shape
 */
export async function keepSummary(person, summary) {
  const box = await sealed(`summaries/${person}`, summary);
  await withDatabase((database) => database.put("summaries", { person, box }));
}

/**
 * Return the account in a stored row.
 *
 * @param {{ person: string, box: Box }} row
 * @returns {Promise<any>}
 */
export function summaryIn({ person, box }) {
  return opened(`summaries/${person}`, box);
}
