/**
 * What this device holds of lenses implanted in other people, by serial number: the same lens goes
 * into no second eye, and without network only the device can say so.
 *
 * @import { Entry } from "./journal.js"
 */
import { serialKey } from "../records/numbers.js";
import { withDatabase } from "./idb.js";
import { entriesOfPerson } from "./journal.js";
import { readableRows } from "./rows.js";

const IMPLANTED = "surgery.implanted";
/** What says whether a surgery stands; nothing else of another person is asked for. */
const ABOUT = [IMPLANTED, "record.void"];

/**
 * Return the records by which the calculation finds a lens in an eye of somebody else.
 *
 * @param {string} serial
 * @param {string[]} sites of this device's person
 * @param {string[]} own the registrations of the person who is operated
 * @returns {Promise<Entry[]>}
 */
export async function implantedInOthers(serial, sites, own) {
  const kept = (await withDatabase((database) => Promise.all(
    sites.map((site) => database.getAllFromIndex("records", "site_kind", [site, IMPLANTED])),
  ))).flat().filter(({ person, state }) => state === "ok" && !own.includes(person ?? ""));
  const { rows } = await readableRows(kept);
  const same = rows.filter(({ payload }) => isSame(payload.body.serial, serial));
  const people = [...new Set(same.map(({ person }) => /** @type {string} */ (person)))];
  const entries = (await Promise.all(people.map(entriesOfPerson))).flat();
  return entries.filter(({ payload }) => ABOUT.includes(payload.kind));
}

/**
 * @param {string | null} one
 * @param {string} other
 */
const isSame = (one, other) => one !== null && serialKey(one) === serialKey(other);
