/**
 * The base's receipts: what takes a record out of the outbox, and what keeps it there.
 *
 * @import { Box } from "./box.js"
 * @import { KeptOutboxRow } from "./outbox.js"
 *
 * @typedef {object} Receipt
 * @property {string} id
 * @property {"stored" | "known" | "refused"} result
 * @property {number | null} n
 * @property {{ code: string, message: string } | null} reason
 */
import { announce } from "./changes.js";
import { writeStrictly } from "./idb.js";
import { sealed } from "./vault.js";

/** The base's codes for "what this rests on is not here yet". */
const NOT_YET =
  /^(chain\.gap|key\.waiting|(person|compared|joined|target|reference|evidence|request|question|decision|approval|order|seen|reading|implant|asked|label|check|theatre_check|explants|aside|backup_of|instead_of)\.unknown)$/;

/**
 * Say whether a refusal is only a matter of order: something this record rests on has still to
 * arrive, so it waits and is offered again.
 *
 * @param {Receipt} receipt
 * @returns {boolean}
 */
export function isNotYet({ result, reason }) {
  return result === "refused" && NOT_YET.test(reason?.code ?? "");
}

/**
 * Take the receipts of one answer, and tell of them together: a page that shows what waits reads
 * all of it again at each telling, which after a restore is everything the phone holds.
 *
 * @param {Receipt[]} receipts
 * @param {string} epoch the life of the base that gave them
 */
export async function keepReceipts(receipts, epoch) {
  /** @type {Set<string>} */
  const persons = new Set();
  try {
    for (const receipt of receipts) {
      const person = await takeReceipt(receipt, epoch);
      if (person) persons.add(person);
    }
  } finally {
    announce({ why: "receipt", persons: [...persons] });
  }
}

/**
 * Take one receipt: an acknowledged record leaves the outbox, a refused one stays with its reason.
 *
 * What the base said in an earlier life is no promise of its present one and changes nothing.
 *
 * @param {Receipt} receipt
 * @param {string} epoch the life of the base that gave it
 * @returns {Promise<string | null>} the person it is about, where there is one
 */
async function takeReceipt(receipt, epoch) {
  const note = receipt.result === "refused" ? await noteOf(receipt) : null;
  return writeStrictly(["records", "outbox", "meta"], async (transaction) => {
    const present = await transaction.objectStore("meta").get("epoch");
    if (present?.value !== epoch) return null;
    const records = transaction.objectStore("records");
    const outbox = transaction.objectStore("outbox");
    const [record, row] = [await records.get(receipt.id), await outbox.get(receipt.id)];
    if (!record) return null;
    if (receipt.result === "refused") {
      const kept = { ...record, state: isNotYet(receipt) ? "ok" : "refused" };
      if (row) await outbox.put(refusedRow(row, receipt, note));
      await records.put(kept);
    } else {
      await outbox.delete(receipt.id);
      await records.put({ ...record, state: "ok", received: receipt.n });
    }
    return record.person;
  });
}

/** @param {Receipt} receipt */
function noteOf({ id, reason }) {
  const message = reason?.message ?? "The base refused this record and gave no reason.";
  return sealed(`outbox/${id}`, { message });
}

/**
 * @param {KeptOutboxRow} row
 * @param {Receipt} receipt
 * @param {Box | null} note
 * @returns {KeptOutboxRow}
 */
function refusedRow(row, receipt, note) {
  const code = receipt.reason?.code ?? "refused";
  return { ...row, state: isNotYet(receipt) ? "waiting" : "refused", code, note };
}
