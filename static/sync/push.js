/**
 * Sending what waits, each key's records in chain order, until a receipt takes each away.
 *
 * @import { KeptOutboxRow } from "../store/outbox.js"
 * @import { Receipt } from "../store/receipts.js"
 */
import { readFact } from "../store/meta.js";
import { countTry, envelopesOf, waitingUnopened } from "../store/outbox.js";
import { noteEpoch, REFERENCE_SITE } from "../store/pages.js";
import { isNotYet, keepReceipts } from "../store/receipts.js";
import { isUrgent } from "../store/urgent.js";
import { postPacked, RefusedError, requireShape } from "./http.js";

/** At most this many records in one request. */
const BATCH = 100;
/** A request that was too large or could not be read: its records were not looked at. */
const UNREAD = new Set([400, 413]);
const RESULTS = new Set(["stored", "known", "refused"]);
const BROKEN =
  "What this phone kept of it was changed from outside and does not open, so it can't be sent. Take " +
  "it again, and tell the base desk.";

/**
 * Send everything that waits for these sites; what rests on a record that the base has not got
 * yet is offered again as long as others still find their way.
 *
 * @param {string[]} sites where the person who signed in may work; the base refuses other ones
 * @returns {Promise<{ sent: number, refused: number }>}
 */
export async function push(sites) {
  const report = { sent: 0, refused: 0 };
  /** @type {Set<string>} */
  const heldBack = new Set();
  let sentBefore = 0;
  for (;;) {
    const rows = urgentFirst(sendable(await waitingUnopened(), [...sites, REFERENCE_SITE]), isUrgent);
    const batch = rows.filter(({ id }) => !heldBack.has(id)).slice(0, BATCH);
    if (batch.length > 0) {
      await sendBatch(batch, heldBack, report);
    } else {
      if (heldBack.size === 0 || report.sent === sentBefore) return report;
      heldBack.clear();
      sentBefore = report.sent;
    }
  }
}

/**
 * Return what may be sent: of each key's chain the records before the first of a foreign site.
 *
 * @param {KeptOutboxRow[]} rows in chain order
 * @param {string[]} sites
 * @returns {KeptOutboxRow[]}
 */
export function sendable(rows, sites) {
  const stopped = new Set();
  return rows.filter(({ kid, site }) => {
    if (!sites.includes(site)) stopped.add(kid);
    return !stopped.has(kid);
  });
}

/**
 * Return the rows with the chains that hold something urgent first. Within a chain nothing can be
 * sent out of turn: the base would keep it apart until the records before it have come.
 *
 * @param {KeptOutboxRow[]} rows in chain order
 * @param {(id: string) => boolean} isUrgentId
 * @returns {KeptOutboxRow[]}
 */
export function urgentFirst(rows, isUrgentId) {
  const chains = new Set(rows.filter(({ id }) => isUrgentId(id)).map(({ kid }) => kid));
  const isFirst = (/** @type {KeptOutboxRow} */ { kid }) => chains.has(kid);
  return [...rows.filter(isFirst), ...rows.filter((row) => !isFirst(row))];
}

/**
 * Send a batch; one that the base refuses as a whole is sent in halves, until the one record that
 * it can't take is found and kept apart with the reason.
 *
 * @param {KeptOutboxRow[]} batch
 * @param {Set<string>} heldBack
 * @param {{ sent: number, refused: number }} report
 */
async function sendBatch(batch, heldBack, report) {
  await countTry(batch);
  const answer = await receiptsOrNone(batch);
  if (answer === null) {
    const half = Math.ceil(batch.length / 2);
    await sendBatch(batch.slice(0, half), heldBack, report);
    await sendBatch(batch.slice(half), heldBack, report);
    return;
  }
  const answered = new Set();
  await keepReceipts(answer.receipts, answer.epoch);
  for (const receipt of answer.receipts) {
    answered.add(receipt.id);
    if (isNotYet(receipt)) heldBack.add(receipt.id);
    else if (receipt.result === "refused") report.refused += 1;
    else report.sent += 1;
  }
  // What got no receipt is not asked about for ever; the next exchange tries again.
  for (const { id } of batch) if (!answered.has(id)) heldBack.add(id);
}

/**
 * Return the receipts, or null where the base refused several records together, unread.
 *
 * @param {KeptOutboxRow[]} batch
 * @returns {Promise<{ epoch: string, receipts: Receipt[] } | null>}
 */
async function receiptsOrNone(batch) {
  try {
    return await receiptsFor(batch);
  } catch (error) {
    if (!(error instanceof RefusedError && UNREAD.has(error.status))) throw error;
    const [only, ...others] = batch;
    if (!only || others.length > 0) return null;
    return refusedHere([only.id], { code: error.code, message: error.message });
  }
}

/**
 * Return refusals of our own making, as of the base's present life.
 *
 * @param {string[]} ids
 * @param {{ code: string, message: string }} reason
 */
async function refusedHere(ids, reason) {
  const refusal = { result: /** @type {const} */ ("refused"), n: null, reason };
  return { epoch: (await readFact("epoch")) ?? "", receipts: ids.map((id) => ({ id, ...refusal })) };
}

/**
 * @param {KeptOutboxRow[]} batch
 * @returns {Promise<{ epoch: string, receipts: Receipt[] }>}
 */
async function receiptsFor(batch) {
  const { envelopes, broken } = await envelopesOf(batch);
  const own = await refusedHere(broken, { code: "box.broken", message: BROKEN });
  if (envelopes.length === 0) return own;
  const answer = await postPacked("/sync/push", { records: envelopes });
  requireShape(answer, { receipts: "array" });
  const epoch = String(answer.epoch);
  await noteEpoch(epoch);
  const sent = new Set(batch.map(({ id }) => id));
  /** @type {Receipt[]} */
  const receipts = answer.receipts.map(checkedReceipt);
  return { epoch, receipts: [...own.receipts, ...receipts.filter(({ id }) => sent.has(id))] };
}

/**
 * @param {any} receipt
 * @returns {Receipt}
 */
function checkedReceipt(receipt) {
  const isKnownResult = RESULTS.has(receipt?.result);
  return requireShape(isKnownResult ? receipt : null, { id: "string" });
}
