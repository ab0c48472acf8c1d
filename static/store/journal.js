/**
 * The journal of this device: the one place where a record is made, signed and kept.
 *
 * A record, its place in the chain of its key and its outbox entry are written in one transaction
 * that is on the disk before it counts, and read back before anybody is told "saved".
 *
 * @import { Identity } from "./identity.js"
 * @import { OutboxRow } from "./outbox.js"
 * @typedef {object} NewRecord
 * @property {string} kind
 * @property {string | null} person
 * @property {"R" | "L" | null} eye
 * @property {string} [site] the person's site; by default the site where the author works now
 * @property {string | null} [replaces] id of the record this one corrects
 * @property {string | null} [reason] why it is corrected or taken back
 * @property {Record<string, any>} body
 *
 * @typedef {{ id: string, payload: any, received: number | null, state: "ok" }} Entry
 *
 * @typedef {object} StoredRecord
 * @property {string} id
 * @property {string} p
 * @property {string} kid
 * @property {string} sig
 * @property {number} seq
 * @property {string | null} person
 * @property {string} site
 * @property {string} kind
 * @property {any} payload
 * @property {"ok" | "refused"} state
 * @property {number | null} received number the base gave it within its site
 * @property {string | null} receivedAt
 */
import { encode } from "../records/canonical.js";
import { seal } from "../records/envelope.js";
import { checkPayload, kindNamed } from "../records/kinds.js";
import { announce } from "./changes.js";
import { withDatabase, writeStrictly } from "./idb.js";
import { currentIdentity, rolesAt } from "./identity.js";
import { withLock } from "./locks.js";
import { captureAllowed } from "./storage.js";

export { onChange } from "./changes.js";

const NOBODY = "Nobody is signed in on this phone, so this was not saved. Sign in, then save again.";
const FULL =
  "This phone's storage is full, so this was not saved. What you typed is still here: free some " +
  "space (photos, other apps), then save again.";
const NOT_WRITTEN =
  "This phone could not write to its storage, so this was not saved. What you typed is still " +
  "here: save again; if it fails again, write the value on paper.";

/** Nothing was saved; `message` says why and what to do, `field` which field is meant, if one is. */
export class NotKept extends Error {
  name = "NotKept";

  /**
   * @param {string} message
   * @param {{ cause?: unknown, field?: string | null }} [more]
   */
  constructor(message, { cause, field = null } = {}) {
    super(message, { cause });
    this.field = field;
  }
}

/** Another tab added to the chain between reading and writing; the record is made again. */
class HeadMoved extends Error {}

/**
 * Make, sign and keep one record of the current person; resolve when it is safely on the disk.
 *
 * @param {NewRecord} asked
 * @returns {Promise<{ id: string, payload: any }>}
 * @throws {NotKept} nothing was saved
 */
export async function keepRecord(asked) {
  const identity = await whoSigns();
  const row = await withLock(`chain-${identity.kid}`, () => keepOnChain(identity, asked));
  announce({ why: "record", persons: row.person ? [row.person] : [] });
  return { id: row.id, payload: row.payload };
}

/**
 * Return a person's records for the core; what the base refused is left out.
 *
 * @param {string} person
 * @returns {Promise<Entry[]>}
 */
export async function entriesOfPerson(person) {
  const rows = await withDatabase((database) =>
    database.getAllFromIndex("records", "person", person),
  );
  return rows.filter(({ state }) => state === "ok").map(entryOf);
}

/**
 * Return one record, or null.
 *
 * @param {string} id
 * @returns {Promise<Entry | null>}
 */
export async function recordOf(id) {
  const row = await withDatabase((database) => database.get("records", id));
  return row ? entryOf(row) : null;
}

/**
 * Return a stored record as the core takes it.
 *
 * @param {StoredRecord} row
 * @returns {Entry}
 */
export function entryOf({ id, payload, received }) {
  return { id, payload, received: received ?? null, state: "ok" };
}

/** @returns {Promise<Identity>} */
async function whoSigns() {
  const { ok, why } = captureAllowed();
  if (!ok) throw new NotKept(why ?? NOT_WRITTEN);
  const identity = await currentIdentity();
  if (!identity) throw new NotKept(NOBODY);
  return identity;
}

/**
 * @param {Identity} identity
 * @param {NewRecord} asked
 * @returns {Promise<StoredRecord>}
 */
async function keepOnChain(identity, asked) {
  for (;;) {
    try {
      const head = await withDatabase((database) => database.get("heads", identity.kid));
      const row = await makeRow(identity, asked, head ?? { seq: 0, id: null });
      await writeRow(row);
      await readBack(row);
      return row;
    } catch (error) {
      if (!(error instanceof HeadMoved)) throw asNotKept(error);
    }
  }
}

/**
 * @param {Identity} identity
 * @param {NewRecord} asked
 * @param {{ seq: number, id: string | null }} head
 * @returns {Promise<StoredRecord>}
 */
async function makeRow(identity, asked, head) {
  const payload = payloadOf(identity, asked, head);
  checkPayload(payload);
  const { id, p, kid, sig } = await seal(encode(payload), identity.kid, identity.privateKey);
  const { seq, person, site, kind } = payload;
  const arrival = { state: /** @type {const} */ ("ok"), received: null, receivedAt: null };
  return { id, p, kid, sig, seq, person, site, kind, payload, ...arrival };
}

/**
 * @param {Identity} identity
 * @param {NewRecord} asked
 * @param {{ seq: number, id: string | null }} head
 */
function payloadOf(identity, asked, head) {
  const site = asked.site ?? identity.site;
  if (!site) throw new NotKept("Choose the camp you work at, then save again. Nothing was saved.");
  return {
    v: 1,
    kind: asked.kind,
    person: asked.person,
    eye: asked.eye,
    site,
    author: identity.user.id,
    role: roleFor(identity, asked.kind, site),
    key: identity.kid,
    seq: head.seq + 1,
    prev: head.id,
    wall: new Date().toISOString(),
    replaces: asked.replaces ?? null,
    reason: asked.reason ?? null,
    body: asked.body,
  };
}

/**
 * @param {Identity} identity
 * @param {string} kind
 * @param {string} site
 */
function roleFor(identity, kind, site) {
  const { roles, title } = kindNamed(kind);
  const role = rolesAt(identity, site).find((held) => roles.includes(held));
  if (role) return role;
  throw new NotKept(`Your roles at this site do not include recording "${title}". Nothing was saved.`);
}

/** @param {StoredRecord} row */
async function writeRow(row) {
  await writeStrictly(["records", "outbox", "heads"], async (transaction) => {
    const heads = transaction.objectStore("heads");
    const records = transaction.objectStore("records");
    // A dropped connection may hide that this very write had succeeded.
    if (await records.get(row.id)) return;
    const head = await heads.get(row.kid);
    if ((head?.seq ?? 0) !== row.seq - 1) throw new HeadMoved();
    await records.add(row);
    await transaction.objectStore("outbox").add(outboxRow(row));
    await heads.put({ kid: row.kid, seq: row.seq, id: row.id });
  });
}

/** @param {StoredRecord} row */
async function readBack(row) {
  const kept = await withDatabase((database) => database.get("records", row.id));
  if (kept?.p !== row.p || kept?.sig !== row.sig) throw new NotKept(NOT_WRITTEN);
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

/** @param {any} error */
function asNotKept(error) {
  if (error instanceof NotKept) return error;
  if (error.name === "BadRecord") return new NotKept(error.message, { cause: error, field: error.field });
  const message = error.name === "QuotaExceededError" ? FULL : NOT_WRITTEN;
  return new NotKept(message, { cause: error });
}
