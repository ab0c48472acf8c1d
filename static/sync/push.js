/** Sending what waits, oldest first within each key's chain, until a receipt takes it away. */
import { countTry, envelopesOf, keepReceipt, waiting } from "../store/outbox.js";
import { noteEpoch } from "../store/pages.js";
import { postJson, requireShape } from "./http.js";

/**
 * @import { OutboxRow, Receipt } from "../store/outbox.js"
 */

/** At most this many records in one request. */
const BATCH = 100;

/**
 * Send everything that waits.
 *
 * @returns {Promise<{ sent: number, refused: number }>}
 */
export async function push() {
  const report = { sent: 0, refused: 0 };
  for (;;) {
    const batch = (await waiting()).slice(0, BATCH);
    if (batch.length === 0) return report;
    const receipts = await sendBatch(batch);
    // An answer that names none of ours would be asked for ever; the next exchange tries again.
    if (receipts.length === 0) return report;
    for (const receipt of receipts) {
      await keepReceipt(receipt);
      if (receipt.result === "refused") report.refused += 1;
      else report.sent += 1;
    }
  }
}

/**
 * @param {OutboxRow[]} batch
 * @returns {Promise<Receipt[]>}
 */
async function sendBatch(batch) {
  await countTry(batch);
  const answer = await postJson("/sync/push", { records: await envelopesOf(batch) });
  requireShape(answer, { receipts: "array" });
  await noteEpoch(String(answer.epoch));
  const sent = new Set(batch.map(({ id }) => id));
  return answer.receipts.filter(({ id }) => sent.has(id)).map(checkedReceipt);
}

/** @param {any} receipt */
function checkedReceipt(receipt) {
  requireShape(receipt, { id: "string", result: "string" });
  if (!["stored", "known", "refused"].includes(receipt.result)) requireShape({}, { result: "string" });
  return receipt;
}
