/**
 * The outbox: records that the base hospital has not acknowledged yet.
 *
 * A record leaves it by receipt alone (`receipts.js`). A refused record stays, visibly and with the reason, until
 * a person has it sent again or withdraws it; nothing is ever deleted from the records themselves,
 * and what was withdrawn stays listed with who said so and why.
 *
 * @import { Box } from "./box.js"
 * @import { KeptRecord } from "./rows.js"
 *
 * On the disk a row says which record waits and in what state; what the base or a person said about
 * it is sealed in its note, and the rest is read from the record itself.
 *
 * @typedef {object} KeptOutboxRow
 * @property {string} id
 * @property {string} kind
 * @property {string | null} person
 * @property {string} site
 * @property {string} kid
 * @property {number} seq
 * @property {number} tries
 * @property {"waiting" | "refused" | "withdrawn"} state
 * @property {string | null} code
 * @property {Box | null} note
 *
 * @typedef {{ message: string | null, withdrawn?: { by: string, wall: string, reason: string } }} Note
 * @typedef {{ eye: "R" | "L" | null, author: string, wall: string | null }} OfRecord `wall` is null
 *   where the record does not open any more
 * @typedef {KeptOutboxRow & OfRecord & Note} OutboxRow
 */
import { BoxBroken } from "./box.js";
import { announce } from "./changes.js";
import { withDatabase, writeStrictly } from "./idb.js";
import { openedRow } from "./rows.js";
import { opened, sealed } from "./vault.js";

/**
 * Return what waits to be sent, each key's records in chain order, the oldest chain first.
 *
 * @returns {Promise<OutboxRow[]>}
 */
export function waiting() {
  return rowsIn("waiting");
}

/**
 * Return the same rows as they lie on the disk.
 *
 * @returns {Promise<KeptOutboxRow[]>}
 */
export function waitingUnopened() {
  return keptIn("waiting");
}

/**
 * Return what the base refused, with its reason.
 *
 * @returns {Promise<OutboxRow[]>}
 */
export function refused() {
  return rowsIn("refused");
}

/**
 * Return what was refused and then withdrawn by somebody here.
 *
 * @returns {Promise<OutboxRow[]>}
 */
export function withdrawn() {
  return rowsIn("withdrawn");
}

/**
 * Return how many records wait and how many were refused, also on a locked phone.
 *
 * @returns {Promise<{ waiting: number, refused: number }>}
 */
export async function counts() {
  const states = (await keptRows()).map(({ state }) => state);
  const size = (/** @type {string} */ sought) => states.filter((state) => state === sought).length;
  return { waiting: size("waiting"), refused: size("refused") };
}

/**
 * Return the signed envelopes of these rows as they travel, in the order given; one whose record
 * does not open any more keeps no other from being sent.
 *
 * @param {{ id: string }[]} batch
 * @returns {Promise<{ envelopes: { p: string, kid: string, sig: string }[], broken: string[] }>}
 *   `broken`: the ids of those that do not open
 */
export async function envelopesOf(batch) {
  const records = await Promise.all((await recordsOf(batch)).map(openedOrNull));
  const envelopes = records.flatMap((record) => (record ? [record] : []));
  return {
    envelopes: envelopes.map(({ p, kid, sig }) => ({ p, kid, sig })),
    broken: batch.filter((_, index) => !records[index]).map(({ id }) => id),
  };
}

/**
 * Count one more attempt for records that are about to be sent.
 *
 * @param {{ id: string }[]} batch
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
  const withdrawn = { by, wall: new Date().toISOString(), reason };
  const before = await withDatabase((database) => database.get("outbox", id));
  const { message } = await noteIn(before);
  const note = await sealed(`outbox/${id}`, { message, withdrawn });
  const person = await writeStrictly(["outbox"], async (transaction) => {
    const outbox = transaction.objectStore("outbox");
    const row = await outbox.get(id);
    if (row?.state !== "refused") return null;
    await outbox.put({ ...row, state: "withdrawn", note });
    return row.person;
  });
  announce({ why: "receipt", persons: person ? [person] : [] });
}

/**
 * Return a record's entry in the outbox, waiting and not tried yet.
 *
 * @param {KeptRecord} row
 * @returns {KeptOutboxRow}
 */
export function outboxRow({ id, kid, seq, kind, person, site }) {
  const fresh = { tries: 0, state: /** @type {const} */ ("waiting"), code: null, note: null };
  return { id, kid, seq, kind, person, site, ...fresh };
}

/**
 * Return an entry that waits to be sent once more.
 *
 * @param {KeptOutboxRow} row
 * @returns {KeptOutboxRow}
 */
export function waitingAgain(row) {
  return { ...row, state: "waiting", code: null, note: null };
}

/** @returns {Promise<KeptOutboxRow[]>} in chain order */
function keptRows() {
  return withDatabase((database) => database.getAllFromIndex("outbox", "chain"));
}

/** @param {KeptOutboxRow["state"]} sought */
async function keptIn(sought) {
  return (await keptRows()).filter(({ state }) => state === sought);
}

/**
 * @param {KeptOutboxRow["state"]} sought
 * @returns {Promise<OutboxRow[]>}
 */
async function rowsIn(sought) {
  const kept = await keptIn(sought);
  const records = await recordsOf(kept);
  return Promise.all(kept.map((row, index) => openedOutboxRow(row, records[index])));
}

/**
 * @param {KeptOutboxRow} row
 * @param {KeptRecord | undefined} record
 * @returns {Promise<OutboxRow>}
 */
async function openedOutboxRow(row, record) {
  const [found, note] = await Promise.all([openedOrNull(record), noteIn(row)]);
  const { eye, author, wall } = found?.payload ?? { eye: null, author: "", wall: null };
  return { ...row, eye, author, wall, ...note };
}

/** @param {KeptRecord | undefined} record */
async function openedOrNull(record) {
  try {
    return record ? await openedRow(record) : null;
  } catch (error) {
    if (error instanceof BoxBroken) return null;
    throw error;
  }
}

/**
 * @param {{ id: string }[]} rows
 * @returns {Promise<(KeptRecord | undefined)[]>}
 */
function recordsOf(rows) {
  return withDatabase((database) => {
    const { store } = database.transaction("records");
    return Promise.all(rows.map(({ id }) => store.get(id)));
  });
}

/**
 * @param {KeptOutboxRow | undefined} row
 * @returns {Promise<Note>}
 */
async function noteIn(row) {
  return row?.note ? opened(`outbox/${row.id}`, row.note) : { message: null };
}
