/**
 * The journal of this device: the one place where a record is made, signed and kept.
 *
 * A record, its place in the chain of its key and its outbox entry are written in one transaction
 * that is on the disk before it counts, and read back before anybody is told "saved".
 *
 * @import { Identity } from "./identity.js"
 * @import { NewRecord, StoredRecord } from "./new_record.js"
 * @import { KeptRecord } from "./rows.js"
 * @typedef {{ id: string, payload: any, received: number | null, received_at?: string | null, state: "ok" }} Entry
 */
import { announce } from "./changes.js";
import { enrolmentOf } from "./enrolments.js";
import { withDatabase, writeStrictly } from "./idb.js";
import { currentIdentity } from "./identity.js";
import { isEnded, standingOf } from "./key_standing.js";
import { withLock } from "./locks.js";
import { makeRow } from "./new_record.js";
import { asNotKept, KEY_ENDED, KEY_REPLACED, NOBODY, NOT_CONFIRMED, NotKept, PUT_OFF } from "./not_kept.js";
import { outboxRow } from "./outbox.js";
import { registrationsOf } from "./joined.js";
import { putOffName } from "./put_off_marks.js";
import { keptRow, openedRow, openedRows } from "./rows.js";
import { captureAllowed } from "./storage.js";

export { onChange } from "./changes.js";
export { NotKept } from "./not_kept.js";

/** Another tab added to the chain between reading and writing; the record is made again. */
class HeadMoved extends Error {}

/**
 * Make, sign and keep one record; resolve when it is safely on the disk.
 *
 * @param {NewRecord} asked
 * @param {{ draft?: string | null, by?: Identity | null }} [from] `draft`: the key of the draft it was
 *   typed as, which goes in the same transaction: found again after a kill, it would invite saving
 *   twice; `by`: who signs, where it is not who works here
 * @returns {Promise<{ id: string, payload: any }>}
 * @throws {NotKept} nothing was saved
 */
export async function keepRecord(asked, { draft = null, by = null } = {}) {
  // Before anything is looked up: who may not write is told why.
  await whoSigns(by);
  const row = await keepInTurn(by, await filedWithTarget(asked), draft);
  announce({ why: "record", persons: row.person ? [row.person] : [] });
  return { id: row.id, payload: row.payload };
}

/**
 * Return a person's records for the core, under each of their registrations that is here; what the
 * base refused is left out.
 *
 * @param {string} person
 * @returns {Promise<Entry[]>}
 */
export async function entriesOfPerson(person) {
  const registrations = await registrationsOf(person);
  const rows = (await withDatabase((database) => Promise.all(
    registrations.map((one) => database.getAllFromIndex("records", "person", one)),
  ))).flat();
  return (await openedRows(rows.filter(({ state }) => state === "ok"))).map(entryOf);
}

/**
 * Return one record, or null.
 *
 * @param {string} id
 * @returns {Promise<Entry | null>}
 */
export async function recordOf(id) {
  const row = await withDatabase((database) => database.get("records", id));
  return row ? entryOf(await openedRow(row)) : null;
}

/**
 * Return a stored record as the core takes it.
 *
 * @param {StoredRecord} row
 * @returns {Entry}
 */
export function entryOf({ id, payload, received, receivedAt }) {
  return { id, payload, received: received ?? null, received_at: receivedAt ?? null, state: "ok" };
}

/**
 * What corrects or takes back a record is filed where that one is: a person may have been registered
 * at two camps, and a record about another registration would take nothing out.
 *
 * @param {NewRecord} asked
 * @returns {Promise<NewRecord>}
 */
async function filedWithTarget(asked) {
  const target = asked.replaces ?? asked.body["target"];
  const about = asked.person && target ? await recordOf(target) : null;
  if (!about) return asked;
  return { ...asked, person: about.payload.person, site: about.payload.site };
}

/**
 * @param {Identity | null} other
 * @returns {Promise<Identity>}
 */
async function whoSigns(other) {
  const { ok, why } = captureAllowed();
  if (!ok) throw new NotKept(/** @type {string} */ (why));
  const identity = other ?? (await currentIdentity());
  if (!identity) throw new NotKept(NOBODY);
  // Another tab may have given a second person a new key since their passphrase was typed here.
  if (other && (await enrolmentOf(other.user.id))?.kid !== other.kid) throw new NotKept(KEY_REPLACED);
  if (isEnded(await standingOf(identity.kid))) throw new NotKept(KEY_ENDED);
  return identity;
}

/**
 * Keep a record when it is its chain's turn, with the key that signs by then: while it waited, that
 * key may have been given up, and nothing may follow what its phone says was the last of it.
 *
 * @param {Identity | null} by
 * @param {NewRecord} asked
 * @param {string | null} draft
 * @returns {Promise<StoredRecord>}
 */
async function keepInTurn(by, asked, draft) {
  for (;;) {
    const { kid } = await whoSigns(by);
    const row = await withLock(`chain-${kid}`, async () => {
      const identity = await whoSigns(by);
      return identity.kid === kid ? keepOnChain(identity, asked, draft) : null;
    });
    if (row) return row;
  }
}

/**
 * @param {Identity} identity
 * @param {NewRecord} asked
 * @param {string | null} draft
 * @returns {Promise<StoredRecord>}
 */
async function keepOnChain(identity, asked, draft) {
  for (;;) {
    try {
      const head = await withDatabase((database) => database.get("heads", identity.kid));
      const row = await makeRow(identity, asked, head ?? { seq: 0, id: null });
      await writeRow(await keptRow(row), draft);
      await readBack(row);
      return row;
    } catch (error) {
      if (!(error instanceof HeadMoved)) throw asNotKept(error);
    }
  }
}

/**
 * @param {KeptRecord} row
 * @param {string | null} draft
 */
async function writeRow(row, draft) {
  await writeStrictly(["records", "outbox", "heads", "drafts", "meta"], async (transaction) => {
    const heads = transaction.objectStore("heads");
    const records = transaction.objectStore("records");
    // A dropped connection may hide that this very write had succeeded.
    if (await records.get(row.id)) return;
    if (await transaction.objectStore("meta").get(putOffName(row.person))) throw new NotKept(PUT_OFF);
    const head = await heads.get(row.kid);
    if ((head?.seq ?? 0) !== row.seq - 1) throw new HeadMoved();
    await records.add(row);
    await transaction.objectStore("outbox").add(outboxRow(row));
    await heads.put({ kid: row.kid, seq: row.seq, id: row.id });
    if (draft !== null) await transaction.objectStore("drafts").delete(draft);
  });
}

/** @param {StoredRecord} row */
async function readBack(row) {
  try {
    const kept = await openedRow(await withDatabase((database) => database.get("records", row.id)));
    if (kept.p === row.p && kept.sig === row.sig) return;
  } catch (cause) {
    throw new NotKept(NOT_CONFIRMED, { cause });
  }
  throw new NotKept(NOT_CONFIRMED);
}
