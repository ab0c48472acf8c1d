/**
 * The people of a camp, straight from the records: no calculation is needed to show a list.
 *
 * @import { Box } from "./box.js"
 * @import { StoredRecord } from "./new_record.js"
 * @import { KeptRecord } from "./rows.js"
 * @typedef {object} PersonRow
 * @property {string} id
 * @property {string} name
 * @property {string} village
 * @property {string} sex
 * @property {string} camp_code
 * @property {string | null} phone
 * @property {string | null} birth_date
 * @property {number | null} birth_year
 * @property {string} site
 * @property {string} home the registration that they go by here, another one where two were joined
 * @property {string} registered id of the record that says so
 * @property {any} summary what the last calculation said, or null
 * @property {boolean} unreadable something about this person does not open on this phone any more
 * @property {boolean} atBase the records lie at the base only; here is the registration
 * @property {number} waiting records of this person the base has not acknowledged
 */
import { withDatabase } from "./idb.js";
import { homeOf, joiningsHere } from "./joined.js";
import { putOff } from "./put_off_marks.js";
import { orBroken, readableRows } from "./rows.js";
import { summaryIn } from "./summaries.js";

const REGISTERED = "person.registered";
const byName = new Intl.Collator("en", { sensitivity: "base", numeric: true });

/**
 * Return everybody registered at a site, by name.
 *
 * @param {string} site
 * @returns {Promise<PersonRow[]>}
 */
export async function peopleAt(site) {
  const [records, summaries, outbox] = await withDatabase((database) => {
    const transaction = database.transaction(["records", "summaries", "outbox"]);
    return Promise.all([
      transaction.objectStore("records").index("site_kind").getAll([site, REGISTERED]),
      transaction.objectStore("summaries").getAll(),
      transaction.objectStore("outbox").getAll(),
    ]);
  });
  const here = new Set(records.map(({ person }) => person));
  const rows = await rowsOf(records, summaries.filter(({ person }) => here.has(person)), outbox);
  const joinings = await joiningsHere();
  return Promise.all(rows.map(async (row) => {
    const home = await orBroken(() => homeOf(row.id, joinings));
    return home === null ? { ...row, unreadable: true, summary: null } : { ...row, home };
  }));
}

/**
 * Return each person once, where two registrations of theirs are in a list.
 *
 * @param {PersonRow[]} rows
 * @returns {PersonRow[]}
 */
export function eachOnce(rows) {
  const listed = new Set(rows.map(({ id }) => id));
  return rows.filter(({ id, home }) => home === id || !listed.has(home));
}

/**
 * Return one person as in the list, or null.
 *
 * @param {string} person
 * @returns {Promise<PersonRow | null>}
 */
export async function personHere(person) {
  const [records, summary, outbox] = await withDatabase((database) => {
    const transaction = database.transaction(["records", "summaries", "outbox"]);
    return Promise.all([
      transaction.objectStore("records").index("person").getAll(person),
      transaction.objectStore("summaries").get(person),
      transaction.objectStore("outbox").index("person").getAll(person),
    ]);
  });
  const registrations = records.filter(({ kind }) => kind === REGISTERED);
  return (await rowsOf(registrations, summary ? [summary] : [], outbox))[0] ?? null;
}

/**
 * @param {KeptRecord[]} kept
 * @param {{ person: string, box: Box }[]} accounts
 * @param {{ person: string | null, state: string }[]} outbox
 * @returns {Promise<PersonRow[]>}
 */
async function rowsOf(kept, accounts, outbox) {
  const [{ rows: records, broken }, opened] = await Promise.all([
    readableRows(kept.filter(({ state }) => state === "ok")),
    Promise.all(accounts.map(summaryIn)),
  ]);
  const away = new Set((await putOff()).map(({ person }) => person));
  const summaries = new Map(accounts.map(({ person }, index) => [person, opened[index]]));
  /** @type {Map<string | null, number>} */
  const waiting = new Map();
  const held = outbox.filter(({ state }) => state !== "withdrawn");
  for (const { person } of held) waiting.set(person, (waiting.get(person) ?? 0) + 1);
  const read = newestOfEach(records).map((record) => personRow(record, summaries, waiting));
  return withBroken(read, broken)
    .map((row) => ({ ...row, atBase: away.has(row.id) }))
    .sort((a, b) => byName.compare(a.name, b.name) || (a.id < b.id ? -1 : 1));
}

/**
 * Return the rows with those whose registration does not open: listed and said, never left out.
 *
 * @param {Omit<PersonRow, "atBase">[]} rows
 * @param {KeptRecord[]} broken
 * @returns {Omit<PersonRow, "atBase">[]}
 */
function withBroken(rows, broken) {
  const names = new Map(broken.map((one) => [/** @type {string} */ (one.person), one]));
  const known = rows.map((row) => (names.delete(row.id) ? { ...row, unreadable: true, summary: null } : row));
  return [...known, ...[...names].map(([id, { id: registered, site }]) => ({ ...NOTHING_READ, id, home: id, registered, site }))];
}

const NOTHING_READ = {
  ...{ name: "Somebody who cannot be read here", village: "", sex: "", camp_code: "", phone: null },
  ...{ birth_date: null, birth_year: null, summary: null, unreadable: true, waiting: 0 },
};

/**
 * Return each person's registration that no later one replaces.
 *
 * @param {StoredRecord[]} records
 * @returns {StoredRecord[]}
 */
function newestOfEach(records) {
  const replaced = new Set(records.map(({ payload }) => payload.replaces));
  const live = records.filter(({ id }) => !replaced.has(id));
  // Two phones may each have corrected the same registration: one row a person all the same.
  return [...new Map(live.sort(byArrival).map((row) => [row.person, row])).values()];
}

/**
 * @param {StoredRecord} a
 * @param {StoredRecord} b
 */
function byArrival(a, b) {
  const difference = (a.received ?? Infinity) - (b.received ?? Infinity);
  return difference || (a.id < b.id ? -1 : 1);
}

/**
 * @param {StoredRecord} record
 * @param {Map<string, any>} summaries
 * @param {Map<string | null, number>} waiting
 * @returns {Omit<PersonRow, "atBase">}
 */
function personRow({ id, person, site, payload }, summaries, waiting) {
  const { name, village, sex, camp_code, phone, birth_date, birth_year } = payload.body;
  const known = { name, village, sex, camp_code, phone, birth_date, birth_year };
  const account = summaries.get(person ?? "") ?? null;
  const unreadable = account?.unreadable === true;
  const summary = unreadable ? null : account;
  const rest = { site, registered: id, summary, unreadable, waiting: waiting.get(person) ?? 0 };
  const own = /** @type {string} */ (person);
  return { id: own, home: own, ...known, ...rest };
}
