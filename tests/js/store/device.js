/** A phone for the tests: an empty store, and one invented optometrist of the Tern Islands. */
import "../../../static/node_modules/fake-indexeddb/auto/index.mjs";
import { keepEnrolment } from "../../../static/store/enrolments.js";
import { closeDatabase, DATABASE_NAME, withDatabase } from "../../../static/store/idb.js";
import { makeCurrent } from "../../../static/store/identity.js";
import { keepKeys } from "../../../static/store/keys.js";
import { noteEpoch } from "../../../static/store/pages.js";
import { fixedKeys, makeLock, newDataKey } from "../../../static/store/person_lock.js";
import { keepReceipts } from "../../../static/store/receipts.js";
import { openedRows } from "../../../static/store/rows.js";
import { startVault, vaultHere } from "../../../static/store/sealing.js";
import { makeKey } from "../../../static/store/signing_key.js";
import { holdKeys, lock as lockPhone } from "../../../static/store/vault.js";
import { newUuid7 } from "../../../static/records/uuid7.js";

export const AMBLER = {
  id: "u-ambler",
  name: "R. Ambler",
  roles: [
    { role: "optometrist", site: "saltpan" },
    { role: "optometrist", site: "north-quay" },
  ],
};
const SITES = [
  { id: "saltpan", title: "Saltpan" },
  { id: "north-quay", title: "North Quay" },
];

export const PASSPHRASE = "tern islands demo";
/** Few rounds: the tests of everything else need not be slow. */
const ROUNDS = 10;
/** The data key of the phone in use, exportable as it never is outside the tests. @type {CryptoKey | null} */
let dataKey = null;

/** Empty the store and forget the connection, as on a phone that never opened the app. */
export async function emptyDevice() {
  lockPhone();
  dataKey = null;
  await closeDatabase();
  await new Promise((resolve, reject) => {
    const request = indexedDB.deleteDatabase(DATABASE_NAME);
    request.onsuccess = resolve;
    request.onerror = reject;
  });
}

/**
 * Enrol a person and make them current; return their key's name and public half.
 *
 * @param {typeof AMBLER} [user]
 * @param {string} [passphrase]
 */
export async function enrolHere(user = AMBLER, passphrase = PASSPHRASE) {
  const { kid, spki, signingKey } = await makeKey();
  dataKey ??= await newDataKey();
  const keys = { dataKey, signingKey };
  const lock = await makeLock(user.id, passphrase, keys, ROUNDS);
  const rest = { label: "test", isEnrolled: true, lock, wrongTries: 0, lastTryMs: 0, site: "saltpan" };
  const enrolment = { userId: user.id, user, sites: SITES, kid, spki, ...rest };
  await ((await vaultHere()) ? keepEnrolment(enrolment) : startVault(dataKey, enrolment, null));
  holdKeys({ userId: user.id, kid, ...(await fixedKeys(keys)) });
  await makeCurrent(user.id);
  await keepKeys([{ kid, spki, user: user.id, name: user.name, label: "test", revoked: 0 }]);
  await noteEpoch("1");
  return { kid, spki };
}

/** An invented person about to be registered. */
export function registration(name = "Ilse Hartnoll", person = newUuid7()) {
  const body = {
    name,
    village: "Saltpan Row",
    sex: "F",
    phone: null,
    birth_date: null,
    birth_year: 1996,
    camp_code: "SP-101",
    consent_store: "yes",
    consent_send: "yes",
  };
  return { kind: "person.registered", person, eye: null, body };
}

/**
 * A white-to-white reading of the right eye.
 *
 * @param {string} person
 * @param {number} [diameterUm]
 */
export function whiteToWhite(person, diameterUm = 11_600) {
  const taken = "2026-11-25T04:45:12.120Z";
  const body = { diameter_um: diameterUm, device: "caliper", taken, typed: {} };
  return { kind: "reading.white_to_white", person, eye: /** @type {const} */ ("R"), body };
}

/**
 * Everything in one store of the database.
 *
 * @param {string} store
 * @returns {Promise<any[]>}
 */
export function allOf(store) {
  return withDatabase((database) => database.getAll(store));
}

/** Every record as it was made. */
export async function openedRecords() {
  return openedRows(await allOf("records"));
}

/**
 * Take one receipt of the base.
 *
 * @param {import("../../../static/store/receipts.js").Receipt} receipt
 * @param {string} epoch the life of the base that gave it
 */
export const keepReceipt = (receipt, epoch) => keepReceipts([receipt], epoch);
