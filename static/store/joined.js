/**
 * Registrations that the base joined into one person, as far as they are on this phone.
 *
 * Records stay under the registration they were made at; the calculation folds them together.
 */
import { allEnrolments } from "./enrolments.js";
import { withDatabase } from "./idb.js";
import { openedRows } from "./rows.js";

const REGISTERED = "person.registered";
const MERGED = "person.merged";
const SPLIT = "person.split";

/**
 * Return a registration and all it is joined with, the earliest first; a phone of one camp knows
 * of a half that it does not hold.
 *
 * @param {string} person
 * @returns {Promise<string[]>}
 */
export async function registrationsOf(person) {
  const pairs = await pairsHere();
  const found = new Set([person]);
  // A set also walks what is added on the way.
  for (const one of found) {
    for (const other of pairs.filter((pair) => pair.includes(one)).flat()) found.add(other);
  }
  // UUIDv7: in the order of time. The calculation goes by the smallest id too.
  return [...found].sort();
}

/**
 * Return the registration that a person goes by on this phone: the earliest that is here.
 *
 * @param {string} person
 * @returns {Promise<string>}
 */
export async function homeOf(person) {
  const joined = await registrationsOf(person);
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
 * Return the two registrations of each joining that holds. Either one's record of it is enough: the
 * other may be lost or still on its way.
 *
 * @returns {Promise<string[][]>}
 */
async function pairsHere() {
  const roles = (await allEnrolments()).flatMap(({ user }) => user.roles);
  const sites = [...new Set(roles.map(({ site }) => site))];
  const rows = await withDatabase((database) => Promise.all(
    sites.flatMap((site) => [MERGED, SPLIT].map(
      (kind) => database.getAllFromIndex("records", "site_kind", [site, kind]),
    )),
  ));
  const records = await openedRows(rows.flat().filter(({ state }) => state === "ok"));
  const ended = new Set(
    records.filter(({ kind }) => kind === SPLIT).map(({ payload }) => payload.body.target),
  );
  return records
    .filter(({ id, kind }) => kind === MERGED && !ended.has(id))
    .map(({ payload }) => [payload.person, payload.body.other]);
}

/**
 * @param {string} person
 * @param {string[]} kinds
 */
async function rowsOf(person, kinds) {
  const rows = await withDatabase((database) => database.getAllFromIndex("records", "person", person));
  return rows.filter(({ kind, state }) => state === "ok" && kinds.includes(kind));
}
