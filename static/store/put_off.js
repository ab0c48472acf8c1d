/**
 * Taking records off the phone that it needs no more, and bringing them back.
 *
 * Only what the base has had for KEPT_DAYS goes. A base restored from a copy asks the phones for what
 * it lost, and gets nothing from a phone that has put it off: so no copy older than that may be the
 * one restored, and the day of receipt is the base's own.
 *
 * @import { PageRecord } from "./pages.js"
 * @typedef {{ epoch: string, records: (PageRecord & { site: string })[] }} OfPerson
 */
import { allEnrolments } from "./enrolments.js";
import { announce } from "./changes.js";
import { writeStrictly } from "./idb.js";
import { everJoined, MERGED } from "./joined.js";
import { keepOne, readRecord, REFERENCE_SITE, STORES } from "./pages.js";
import { putOffName } from "./put_off_marks.js";

/** Longer than any copy of the base is kept: common practice, and README says so. */
export const KEPT_DAYS = 90;
const DAY_MS = 86_400_000;
const REGISTERED = "person.registered";
const OWN = ["summaries", "seen", "drafts"];

/**
 * Take a person's records off the phone but the registration, if the base has had all of them for
 * long and nothing of theirs is typed or waits; say whether it was done.
 *
 * @param {string} person
 * @param {string | null} backOn the day from which they are wanted here again
 * @param {number} nowMs by the base's clock
 * @returns {Promise<boolean>}
 */
export async function putOffPerson(person, backOn, nowMs) {
  const { ids, persons } = await everJoined();
  // Half a person would fold to another case.
  if (persons?.has(person) !== false) return false;
  const isDone = await writeStrictly([...STORES, ...OWN], async (transaction) => {
    const records = transaction.objectStore("records");
    const rows = await records.index("person").getAll(person);
    const isOld = rows.every((row) => isLongAtBase(row, nowMs));
    // Nobody opens a box in a transaction: a joining that came meanwhile is read the next time.
    const isNew = String(await records.index("kind").getAllKeys(MERGED)) !== String(ids);
    if (!isOld || isNew || (await isInWork(transaction, person))) return false;
    for (const { id, kind } of rows) if (kind !== REGISTERED) await records.delete(id);
    await transaction.objectStore("summaries").delete(person);
    const seen = transaction.objectStore("seen");
    for (const key of await keysNaming(seen, person)) await seen.delete(key);
    const value = { person, back_on: backOn, news: 0 };
    await transaction.objectStore("meta").put({ name: putOffName(person), value });
    return true;
  });
  if (isDone) announce({ why: "page", persons: [person] });
  return isDone;
}

/**
 * Take a person's records in again, all of them or none: none where a page brought something newer
 * since they were asked for, which the answer may lack.
 *
 * @param {string} person
 * @param {OfPerson} answer
 * @param {number | undefined} news how many newer ones had been passed over when they were asked for
 * @returns {Promise<boolean>}
 */
export async function takeBack(person, { epoch, records }, news) {
  const read = await Promise.all(
    records.map(async (record) => ({ site: record.site, one: await readRecord(record, record, true) })),
  );
  const isTaken = await writeStrictly(STORES, async (transaction) => {
    const meta = transaction.objectStore("meta");
    if ((await meta.get("epoch"))?.value !== epoch) return false;
    if ((await meta.get(putOffName(person)))?.value.news !== news) return false;
    await meta.delete(putOffName(person));
    for (const { site, one } of read) await keepOne(transaction, site, one);
    return true;
  });
  if (isTaken) announce({ why: "page", persons: [person] });
  return isTaken;
}

/**
 * Take the records of every site off the phone where nobody of it works any more; a site of which
 * something waits or is typed stays. Should somebody work there again, all of it is fetched anew.
 *
 * No waiting for days here: a phone may not offer what is of a site that its people left.
 *
 * @returns {Promise<string[]>} the sites that were left
 */
export async function leaveSites() {
  const roles = (await allEnrolments()).flatMap(({ user }) => user.roles);
  const clinical = roles.filter(({ role }) => role !== "administrator");
  const ours = new Set([REFERENCE_SITE, ...clinical.map(({ site }) => site)]);
  const left = await writeStrictly([...STORES, ...OWN], async (transaction) => {
    const cursors = await transaction.objectStore("cursors").getAll();
    const sites = cursors.map(({ site }) => site).filter((site) => !ours.has(site));
    const done = [];
    for (const site of sites) if (await leaveSite(transaction, site)) done.push(site);
    return done;
  });
  if (left.length > 0) announce({ why: "page", persons: [] });
  return left;
}

/**
 * @param {any} transaction
 * @param {string} site
 */
async function leaveSite(transaction, site) {
  const records = transaction.objectStore("records");
  const rows = (await records.getAll()).filter((/** @type {any} */ row) => row.site === site);
  const persons = new Set(rows.flatMap((/** @type {any} */ { person }) => (person ? [person] : [])));
  for (const person of persons) if (await isInWork(transaction, person)) return false;
  const outbox = await transaction.objectStore("outbox").getAll();
  if (outbox.some((/** @type {any} */ row) => row.site === site)) return false;
  for (const { id } of rows) await records.delete(id);
  const seen = transaction.objectStore("seen");
  for (const person of persons) {
    await transaction.objectStore("summaries").delete(person);
    await transaction.objectStore("meta").delete(putOffName(person));
    for (const key of await keysNaming(seen, person)) await seen.delete(key);
  }
  await transaction.objectStore("cursors").delete(site);
  return true;
}

/** @param {{ state: string, received: number | null, receivedAt: string | null }} row @param {number} nowMs */
function isLongAtBase({ state, received, receivedAt }, nowMs) {
  if (state !== "ok" || received === null || receivedAt === null) return false;
  return nowMs - Date.parse(receivedAt) > KEPT_DAYS * DAY_MS;
}

/**
 * Say whether something of a person waits, was refused or withdrawn here, or is being typed.
 *
 * @param {any} transaction
 * @param {string} person
 */
async function isInWork(transaction, person) {
  if ((await transaction.objectStore("outbox").index("person").count(person)) > 0) return true;
  return (await keysNaming(transaction.objectStore("drafts"), person)).length > 0;
}

/**
 * @param {any} store
 * @param {string} person
 * @returns {Promise<string[]>}
 */
async function keysNaming(store, person) {
  return (await store.getAllKeys()).filter((/** @type {string} */ key) => key.includes(person));
}
