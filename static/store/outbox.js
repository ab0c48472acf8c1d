/**
 * The outbox: records that the base hospital has not acknowledged yet.
 *
 * A record leaves it by receipt alone. A refused record stays, visibly and with the reason, until
 * a person has it sent again or withdraws it; nothing is ever deleted from the records themselves,
 * and what was withdrawn stays listed with who said so and why.
 *
 * @import { StoredRecord } from "./new_record.js"
 *
 * @typedef {object} OutboxRow
 * @property {string} id
 * @property {string} kind
 * @property {string | null} person
 * @property {"R" | "L" | null} eye
 * @property {string} site
 * @property {string} author
 * @property {string} wall
 * @property {string} kid
 * @property {number} seq
 * @property {number} tries
 * @property {"waiting" | "refused" | "withdrawn"} state
 * @property {string | null} code
 * @property {string | null} message
 * @property {{ by: string, wall: string, reason: string }} [withdrawn]
 *
 * @typedef {object} Receipt
 * @property {string} id
 * @property {"stored" | "known" | "refused"} result
 * @property {number | null} n
 * @property {{ code: string, message: string } | null} reason
 */
import { announce } from "./changes.js";
import { withDatabase, writeStrictly } from "./idb.js";

/** The base's codes for "what this rests on is not here yet". */
const NOT_YET =
  /^(chain\.gap|key\.waiting|(person|target|reference|evidence|request|question|approval|order)\.unknown)$/;

/**
 * Return what waits to be sent, each key's records in chain order, the oldest chain first.
 *
 * @returns {Promise<OutboxRow[]>}
 */
export async function waiting() {
  return (await rows()).filter(({ state }) => state === "waiting");
}

/**
 * Return what the base refused, with its reason.
 *
 * @returns {Promise<OutboxRow[]>}
 */
export async function refused() {
  return (await rows()).filter(({ state }) => state === "refused");
}

/**
 * Return what was refused and then withdrawn by somebody here.
 *
 * @returns {Promise<OutboxRow[]>}
 */
export async function withdrawn() {
  return (await rows()).filter(({ state }) => state === "withdrawn");
}

/**
 * Return how many records wait and how many were refused.
 *
 * @returns {Promise<{ waiting: number, refused: number }>}
 */
export async function counts() {
  const states = (await rows()).map(({ state }) => state);
  const size = (/** @type {string} */ sought) => states.filter((state) => state === sought).length;
  return { waiting: size("waiting"), refused: size("refused") };
}

/**
 * Return the signed envelopes of these rows as they travel, in the order given.
 *
 * @param {OutboxRow[]} batch
 * @returns {Promise<{ p: string, kid: string, sig: string }[]>}
 */
export function envelopesOf(batch) {
  return withDatabase(async (database) => {
    const store = database.transaction("records").store;
    const records = await Promise.all(batch.map(({ id }) => store.get(id)));
    return records.map(({ p, kid, sig }) => ({ p, kid, sig }));
  });
}

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
 * Take one receipt: an acknowledged record leaves the outbox, a refused one stays with its reason.
 *
 * What the base said in an earlier life is no promise of its present one and changes nothing.
 *
 * @param {Receipt} receipt
 * @param {string} epoch the life of the base that gave it
 */
export async function keepReceipt(receipt, epoch) {
  const person = await writeStrictly(["records", "outbox", "meta"], async (transaction) => {
    const present = await transaction.objectStore("meta").get("epoch");
    if (present?.value !== epoch) return null;
    const records = transaction.objectStore("records");
    const outbox = transaction.objectStore("outbox");
    const [record, row] = [await records.get(receipt.id), await outbox.get(receipt.id)];
    if (!record) return null;
    if (receipt.result === "refused") {
      const kept = { ...record, state: isNotYet(receipt) ? "ok" : "refused" };
      if (row) await outbox.put(refusedRow(row, receipt));
      await records.put(kept);
    } else {
      await outbox.delete(receipt.id);
      await records.put({ ...record, state: "ok", received: receipt.n });
    }
    return record.person;
  });
  announce({ why: "receipt", persons: person ? [person] : [] });
}

/**
 * Count one more attempt for records that are about to be sent.
 *
 * @param {OutboxRow[]} batch
 */
export async function countTry(batch) {
  await withDatabase(async (database) => {
    const transaction = database.transaction("outbox", "readwrite");
    for (const { id } of batch) {
      const row = await transaction.store.get(id);
      if (row) await transaction.store.put({ ...row, tries: row.tries + 1 });
    }
    await transaction.done;
  });
}

/**
 * Let a refused record be sent once more, for instance after an administrator changed a role.
 *
 * @param {string} id
 */
export async function tryAgain(id) {
  await writeStrictly(["records", "outbox"], async (transaction) => {
    const outbox = transaction.objectStore("outbox");
    const row = await outbox.get(id);
    if (row) await outbox.put(waitingAgain(row));
    const records = transaction.objectStore("records");
    const record = await records.get(id);
    if (record) await records.put({ ...record, state: "ok" });
  });
  announce({ why: "receipt", persons: [] });
}

/**
 * Withdraw a refused record: it is sent no more and used in nothing, and stays here with the reason.
 *
 * The base never took it, so no record of the withdrawal could point at anything there.
 *
 * @param {string} id
 * @param {string} by the name of who withdraws it
 * @param {string} reason
 */
export async function withdrawRefused(id, by, reason) {
  const wall = new Date().toISOString();
  const person = await writeStrictly(["outbox"], async (transaction) => {
    const outbox = transaction.objectStore("outbox");
    const row = await outbox.get(id);
    if (row?.state !== "refused") return null;
    await outbox.put({ ...row, state: "withdrawn", withdrawn: { by, wall, reason } });
    return row.person;
  });
  announce({ why: "receipt", persons: person ? [person] : [] });
}

/**
 * Return a record's entry in the outbox, waiting and not tried yet.
 *
 * @param {StoredRecord} row
 * @returns {OutboxRow}
 */
export function outboxRow({ id, kid, seq, kind, person, site, payload }) {
  const { eye, author, wall } = payload;
  const fresh = { tries: 0, state: /** @type {const} */ ("waiting"), code: null, message: null };
  return { id, kid, seq, kind, person, eye, site, author, wall, ...fresh };
}

/**
 * Return an entry that waits to be sent once more.
 *
 * @param {OutboxRow} row
 * @returns {OutboxRow}
 */
export function waitingAgain({ withdrawn: _, ...row }) {
  return { ...row, state: "waiting", code: null, message: null };
}

/** @returns {Promise<OutboxRow[]>} */
function rows() {
  return withDatabase((database) => database.getAllFromIndex("outbox", "chain"));
}

/**
 * @param {OutboxRow} row
 * @param {Receipt} receipt
 * @returns {OutboxRow}
 */
function refusedRow(row, receipt) {
  const code = receipt.reason?.code ?? "refused";
  const message = receipt.reason?.message ?? "The base refused this record and gave no reason.";
  return { ...row, state: isNotYet(receipt) ? "waiting" : "refused", code, message };
}
