/**
 * Taking in pages of records from the base, and starting over when the base was restored.
 *
 * A page is stored with its cursor in one transaction, and only if it joins on to what is here: a
 * late answer to an older question must never move the cursor past records that were not stored.
 * A record in it that can't be relied on is set aside and shown; the others are stored.
 *
 * @import { StoredRecord } from "./new_record.js"
 * @import { KeptRecord } from "./rows.js"
 * @typedef {{ n: number, p: string, kid: string, sig: string, received_at: string }} PageRecord
 * @typedef {{ epoch: string, site: string, from: number, to: number, head: number, records: PageRecord[] }} Page
 * @typedef {{ n: number, row: KeptRecord | null, prev: string | null, why: string | null }} Read
 */
import { fromBase64url, openEnvelope, verifyRecord } from "../records/envelope.js";
import { BadRecord } from "../records/errors.js";
import { asideRange, asideRow } from "./aside.js";
import { announce } from "./changes.js";
import { withDatabase, writeStrictly } from "./idb.js";
import { keyOf } from "./keys.js";
import { outboxRow, waitingAgain } from "./outbox.js";
import { putOffName, putOffRange } from "./put_off_marks.js";
import { keptRow } from "./rows.js";

/** Catalogue, limits and the like belong to every site and to none. */
export const REFERENCE_SITE = "all";
export const STORES = ["records", "outbox", "cursors", "meta"];

/** The page cannot be stored; nothing of it was. */
export class PageRefused extends Error {
  name = "PageRefused";
}

/** A record's key is not known here; ask for the list of keys and try again. */
export class KeyUnknown extends PageRefused {
  name = "KeyUnknown";
}

/**
 * Return how far the records of a site are here, in the server's present life.
 *
 * @param {string} site
 * @returns {Promise<number>}
 */
export async function cursorOf(site) {
  const cursor = await withDatabase((database) => database.get("cursors", site));
  return cursor?.n ?? 0;
}

/**
 * Store one page if it joins on; say whether it did.
 *
 * @param {Page} page
 * @param {{ keysAreNew?: boolean }} [how] whether the list of keys was fetched for this very page
 * @returns {Promise<boolean>}
 * @throws {PageRefused} its numbers have a gap, or a key is not known here yet
 */
export async function storePage(page, { keysAreNew = false } = {}) {
  requireDense(page);
  const read = await Promise.all(page.records.map((record) => readRecord(record, page, keysAreNew)));
  const isStored = await writeStrictly(STORES, async (transaction) => {
    const cursors = transaction.objectStore("cursors");
    const epoch = await transaction.objectStore("meta").get("epoch");
    const cursor = await cursors.get(page.site);
    if (epoch?.value !== page.epoch || (cursor?.n ?? 0) !== page.from) return false;
    for (const one of read) await keepOne(transaction, page.site, one);
    await cursors.put({ site: page.site, n: page.to });
    return true;
  });
  const rows = read.flatMap(({ row }) => (row ? [row] : []));
  if (isStored && read.length > 0) announce({ why: "page", persons: personsOf(rows) });
  return isStored;
}

/**
 * Take in a record that was set aside, now that the base was asked for it again; say whether it
 * could be.
 *
 * @param {Page} page of this one record
 * @returns {Promise<boolean>}
 */
export async function storeAside(page) {
  requireDense(page);
  const [first] = page.records;
  if (!first) return false;
  const one = await readRecord(first, page, true);
  const isTaken = await writeStrictly(STORES, async (transaction) => {
    const meta = transaction.objectStore("meta");
    const kept = await meta.get(asideRow({ site: page.site, n: first.n, why: "" }).name);
    if (!kept || (await meta.get("epoch"))?.value !== page.epoch) return false;
    await meta.delete(kept.name);
    return keepOne(transaction, page.site, one);
  });
  if (isTaken) announce({ why: "page", persons: personsOf(one.row ? [one.row] : []) });
  return isTaken;
}

/**
 * Store a record of a page, or set it aside; say whether it was stored.
 *
 * @param {any} transaction
 * @param {string} site
 * @param {Read} one
 * @returns {Promise<boolean>}
 */
export async function keepOne(transaction, site, { n, row, prev, why }) {
  const records = transaction.objectStore("records");
  const away = row && row.kind !== "person.registered" && (await putOffRow(transaction, row.person));
  if (away) {
    // One record without those before it would be another case; they come together.
    await transaction.objectStore("meta").put({ ...away, value: { ...away.value, news: (away.value.news ?? 0) + 1 } });
    return false;
  }
  const reason = row ? await misfit(records, row, prev) : why;
  if (!row || reason) {
    await transaction.objectStore("meta").put(asideRow({ site, n, why: reason ?? "" }));
    return false;
  }
  await records.put({ ...(await records.get(row.id)), ...row });
  const outbox = transaction.objectStore("outbox");
  const waits = await outbox.get(row.id);
  // The base took it after all, by somebody's decision there: its receipt takes it out of here.
  if (waits && waits.state !== "waiting") await outbox.put(waitingAgain(waits));
  return true;
}

/**
 * @param {any} transaction
 * @param {string | null} person
 */
async function putOffRow(transaction, person) {
  return person ? transaction.objectStore("meta").get(putOffName(person)) : null;
}

/**
 * Return why a record does not fit the chain of its key as it is here, or null.
 *
 * Earlier records may be missing here: those of another site, and those that the base keeps apart.
 *
 * @param {any} records
 * @param {KeptRecord} row
 * @param {string | null} prev
 * @returns {Promise<string | null>}
 */
async function misfit(records, { id, kid, seq }, prev) {
  const chain = records.index("chain");
  const same = await chain.get([kid, seq]);
  if (same && same.id !== id) return "Another record of its device is here in its place.";
  const before = await chain.get([kid, seq - 1]);
  if (before && before.id !== prev) return "It does not follow its device's record before.";
  return null;
}

/**
 * Note which life the server is in; in a new one, read everything again and offer everything again.
 *
 * A server restored from a copy may have lost what it once acknowledged, so acknowledgements of an
 * earlier life count for nothing, and records of other devices are offered as well.
 *
 * @param {string} epoch
 * @returns {Promise<boolean>} whether this is another life than before
 */
export async function noteEpoch(epoch) {
  const isAnother = await writeStrictly(STORES, async (transaction) => {
    const meta = transaction.objectStore("meta");
    const known = await meta.get("epoch");
    if (known?.value === epoch) return false;
    await meta.put({ name: "epoch", value: epoch });
    if (!known) return false;
    await transaction.objectStore("cursors").clear();
    await meta.delete(asideRange());
    // Everything is read again, so that nobody is left put off by what an earlier life had.
    await meta.delete(putOffRange());
    await offerAllAgain(transaction.objectStore("records"), transaction.objectStore("outbox"));
    return true;
  });
  if (isAnother) announce({ why: "restart", persons: [] });
  return isAnother;
}

/**
 * @param {any} records
 * @param {any} outbox
 */
async function offerAllAgain(records, outbox) {
  for (const row of await records.getAll()) {
    await records.put({ ...row, received: null, receivedAt: null });
    if (row.state === "ok" && !(await outbox.get(row.id))) await outbox.add(outboxRow(row));
  }
}

/** @param {Page} page */
function requireDense({ from, to, records }) {
  const isDense = records.every(({ n }, index) => n === from + index + 1);
  if (isDense && to === from + records.length) return;
  throw new PageRefused("The base sent a list with a gap in it; nothing of it was stored.");
}

/**
 * Read one record of a page: as a row to store, or with the reason why it can't be relied on.
 *
 * @param {PageRecord} record
 * @param {{ site: string }} page
 * @param {boolean} keysAreNew
 * @returns {Promise<Read>}
 */
export async function readRecord(record, { site }, keysAreNew) {
  const { n } = record;
  try {
    const verified = await verifiedRow(record, site);
    // Sealed here already: a transaction would end while the crypto engine is waited for.
    return { n, row: await keptRow(verified), prev: verified.payload.prev, why: null };
  } catch (error) {
    const isFinal = error instanceof BadRecord || (error instanceof KeyUnknown && keysAreNew);
    if (!isFinal) throw error;
    return { n, row: null, prev: null, why: error.message };
  }
}

/**
 * @param {PageRecord} record
 * @param {string} site
 * @returns {Promise<StoredRecord>}
 */
async function verifiedRow({ n, p, kid, sig, received_at: receivedAt }, site) {
  const key = await keyOf(kid);
  if (!key) throw new KeyUnknown("It comes from a device that the base did not name.");
  const record = await openEnvelope({ p, kid, sig });
  await verifyRecord(record, fromBase64url(key.spki, "spki"));
  const { id, payload } = record;
  if (payload.site !== site) throw new BadRecord("site", "It belongs to another site.");
  const { seq, person, kind } = payload;
  const place = { state: /** @type {const} */ ("ok"), received: n, receivedAt };
  return { id, p, kid, sig, seq, person, site, kind, payload, ...place };
}

/** @param {{ person: string | null }[]} rows */
function personsOf(rows) {
  return [...new Set(rows.flatMap(({ person }) => (person ? [person] : [])))];
}
