/**
 * The people enrolled on this device, as stored: who, which key, which site, and their lock.
 *
 * @import { PersonLock } from "./person_lock.js"
 * @typedef {{ role: string, site: string }} Role
 * @typedef {{ id: string, title: string }} Site
 * @typedef {{ id: string, name: string, roles: Role[] }} User
 * @typedef {{ kid: string, spki: string, lock: PersonLock }} NextKey
 *
 * @typedef {object} Enrolment
 * @property {string} userId
 * @property {User} user
 * @property {Site[]} sites
 * @property {string} kid name of the key: hex SHA-256 of its public half
 * @property {string} spki public half, base64url
 * @property {string} label what the desk calls this device
 * @property {string | null} site the camp new records belong to
 * @property {boolean} isEnrolled the server has accepted the key
 * @property {PersonLock | null} lock null once the tries are used up
 * @property {number} wrongTries counted before each try is made
 * @property {number} lastTryMs by this phone's clock
 * @property {NextKey | null} [next] a key that was made and that the base may not know yet
 * @property {string | null} [given_up] the key before this one, until the base has closed it
 * @property {string[]} [replaced] keys before it that the base has closed; a restored base may not know
 * @property {CryptoKey} [privateKey] left by an older version until the next sign-in with the network
 * @property {{ salt: Uint8Array<ArrayBuffer>, hash: Uint8Array, rounds: number }} [verifier] likewise
 */
import { withDatabase, writeStrictly } from "./idb.js";

/**
 * Return a person's enrolment on this device, finished or not, or null.
 *
 * @param {string} userId
 * @returns {Promise<Enrolment | null>}
 */
export async function enrolmentOf(userId) {
  return (await withDatabase((database) => database.get("identities", userId))) ?? null;
}

/**
 * Return every enrolment on this device, finished or not.
 *
 * @returns {Promise<Enrolment[]>}
 */
export function allEnrolments() {
  return withDatabase((database) => database.getAll("identities"));
}

/**
 * Keep an enrolment on the disk, in place of an older one of the same person.
 *
 * @param {Enrolment} enrolment
 */
export async function keepEnrolment(enrolment) {
  await writeStrictly(["identities"], (transaction) =>
    transaction.objectStore("identities").put(enrolment),
  );
}

/**
 * Change some of a stored enrolment by a function of what it is now; return the new one.
 *
 * @param {string} userId
 * @param {(kept: Enrolment) => Partial<Enrolment>} change
 * @returns {Promise<Enrolment>}
 */
export function changeEnrolment(userId, change) {
  return writeStrictly(["identities"], async (transaction) => {
    const store = transaction.objectStore("identities");
    const kept = await store.get(userId);
    const changed = { ...kept, ...change(kept) };
    await store.put(changed);
    return changed;
  });
}

/**
 * Say whether a person's passphrase can open this phone.
 *
 * @param {Enrolment} enrolment
 * @returns {boolean}
 */
export function isUsable({ isEnrolled, lock, verifier }) {
  return isEnrolled && Boolean(lock ?? verifier);
}
