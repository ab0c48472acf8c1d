/**
 * Taking in pages of records from the base, and starting over when the base was restored.
 *
 * A page is stored with its cursor in one transaction, and only if it joins on to what is here: a
 * late answer to an older question must never move the cursor past records that were not stored.
 *
 * @import { StoredRecord } from "./new_record.js"
 * @typedef {{ n: number, p: string, kid: string, sig: string, received_at: string }} PageRecord
 * @typedef {{ epoch: string, site: string, from: number, to: number, head: number, records: PageRecord[] }} Page
 */
import { fromBase64url, openEnvelope, verifyRecord } from "../records/envelope.js";
import { announce } from "./changes.js";
import { withDatabase, writeStrictly } from "./idb.js";
import { keyOf } from "./keys.js";
import { outboxRow } from "./outbox.js";

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
 * @returns {Promise<boolean>}
 * @throws {PageRefused} a record in it is not what it says, or breaks a chain
 */
export async function storePage(page) {
  requireDense(page);
  const rows = await Promise.all(page.records.map((record) => verifiedRow(record, page)));
  const isStored = await writeStrictly(["records", "cursors", "meta"], async (transaction) => {
    const cursors = transaction.objectStore("cursors");
    const epoch = await transaction.objectStore("meta").get("epoch");
    const cursor = await cursors.get(page.site);
    if (epoch?.value !== page.epoch || (cursor?.n ?? 0) !== page.from) return false;
    const records = transaction.objectStore("records");
    for (const row of rows) await records.put({ ...(await records.get(row.id)), ...row });
    await cursors.put({ site: page.site, n: page.to });
    return true;
  });
  if (isStored && rows.length > 0) announce({ why: "page", persons: personsOf(rows) });
  return isStored;
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
  const stores = ["records", "outbox", "cursors", "meta"];
  const isAnother = await writeStrictly(stores, async (transaction) => {
    const meta = transaction.objectStore("meta");
    const known = await meta.get("epoch");
    if (known?.value === epoch) return false;
    await meta.put({ name: "epoch", value: epoch });
    if (!known) return false;
    await transaction.objectStore("cursors").clear();
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
 * @param {PageRecord} record
 * @param {Page} page
 * @returns {Promise<StoredRecord>}
 */
async function verifiedRow({ n, p, kid, sig, received_at: receivedAt }, { site }) {
  const key = await keyOf(kid);
  if (!key) throw new KeyUnknown("A record came from a device this phone has not heard of.");
  const record = await openEnvelope({ p, kid, sig });
  await verifyRecord(record, fromBase64url(key.spki, "spki"));
  const { id, payload } = record;
  if (payload.site !== site) throw new PageRefused("A record of another site came in this list.");
  const { seq, person, kind } = payload;
  const place = { state: /** @type {const} */ ("ok"), received: n, receivedAt };
  return { id, p, kid, sig, seq, person, site, kind, payload, ...place };
}

/** @param {StoredRecord[]} rows */
function personsOf(rows) {
  return [...new Set(rows.flatMap(({ person }) => (person ? [person] : [])))];
}
