/** A short account of each person, written after each calculation, so lists need no calculation. */
import { withDatabase } from "./idb.js";
import { orBroken } from "./rows.js";
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
 * Keep that a person's records do not open here any more: no account of them is to be believed.
 *
 * @param {string} person
 */
export const keepUnreadable = (person) => keepSummary(person, { unreadable: true });

/**
 * Return the account in a stored row, or null where it does not open: it is made again.
 *
 * @param {{ person: string, box: Box }} row
 * @returns {Promise<any>}
 */
export function summaryIn({ person, box }) {
  return orBroken(() => opened(`summaries/${person}`, box));
}
