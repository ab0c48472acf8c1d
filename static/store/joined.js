/**
 * Registrations that the base joined into one person, as far as they are on this phone.
 *
 * Records stay under the registration they were made at; the calculation folds them together.
 *
 * @import { KeptRecord } from "./rows.js"
 * @typedef {{ pairs: string[][], broken: KeptRecord[] }} Joinings
 *   the two registrations of each joining that holds; what says so and does not open
 */
import { withDatabase } from "./idb.js";
import { openedRows, readableRows } from "./rows.js";

const REGISTERED = "person.registered";
export const MERGED = "person.merged";
const SPLIT = "person.split";

/**
 * Return a registration and all it is joined with, the earliest first; a phone of one camp knows
 * of a half that it does not hold.
 *
 * @param {string} person
 * @param {Joinings} [joinings] where they were read already
 * @returns {Promise<string[]>}
 * @throws {BoxBroken} what says with whom does not open
 */
export async function registrationsOf(person, joinings) {
  const { pairs, broken } = joinings ?? (await joiningsHere());
  const found = new Set([person]);
  // A set also walks what is added on the way.
  for (const one of found) {
    for (const other of pairs.filter((pair) => pair.includes(one)).flat()) found.add(other);
  }
  await openedRows(broken.filter((row) => found.has(row.person ?? "")));
  // UUIDv7: in the order of time. The calculation goes by the smallest id too.
  return [...found].sort();
}

/**
 * Return the registration that a person goes by on this phone: the earliest that is here.
 *
 * @param {string} person
 * @param {Joinings} [joinings] where they were read already
 * @returns {Promise<string>}
 */
export async function homeOf(person, joinings) {
  const joined = await registrationsOf(person, joinings);
  if (joined.length === 1) return person;
  const rows = await Promise.all(joined.map((one) => rowsOf(one, [REGISTERED])));
  return joined.find((_, index) => (rows[index] ?? []).length > 0) ?? person;
}

/**
 * Return an address of the app with the registration that its person goes by.
 *
 * @param {string} address
 * @returns {Promise<string>}
 */
export async function homeAddress(address) {
  const id = /[0-9a-f]{8}-[0-9a-f-]{27}/.exec(address)?.[0];
  return id ? address.replace(id, await homeOf(id)) : address;
}

/**
 * Return what is here about joinings. Either half's record of one is enough: the other may be lost
 * or still on its way.
 *
 * @returns {Promise<Joinings>}
 */
export async function joiningsHere() {
  const kept = (await Promise.all([MERGED, SPLIT].map(ofKind))).flat();
  const { rows, broken } = await readableRows(kept.filter(({ state }) => state === "ok"));
  const ended = new Set(
    rows.filter(({ kind }) => kind === SPLIT).map(({ payload }) => payload.body.target),
  );
  const pairs = rows
    .filter(({ id, kind }) => kind === MERGED && !ended.has(id))
    .map(({ payload }) => [payload.person, payload.body.other]);
  return { pairs, broken };
}

/**
 * Return the records of joinings here, ended ones too, and everybody whom they name; null for these
 * where one of the records does not open.
 *
 * @returns {Promise<{ ids: string[], persons: Set<string> | null }>}
 */
export async function everJoined() {
  const kept = await ofKind(MERGED);
  const { rows, broken } = await readableRows(kept);
  const persons = rows.flatMap(({ payload }) => [payload.person, payload.body.other]);
  return { ids: kept.map(({ id }) => id), persons: broken.length > 0 ? null : new Set(persons) };
}

/** @param {string} kind @returns {Promise<KeptRecord[]>} */
const ofKind = (kind) => withDatabase((database) => database.getAllFromIndex("records", "kind", kind));

/**
 * @param {string} person
 * @param {string[]} kinds
 */
async function rowsOf(person, kinds) {
  const rows = await withDatabase((database) => database.getAllFromIndex("records", "person", person));
  return rows.filter(({ kind, state }) => state === "ok" && kinds.includes(kind));
}
