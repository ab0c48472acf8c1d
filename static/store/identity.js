/**
 * Who works on this device: the people enrolled here, each with a signing key of their own.
 *
 * Several people may share a device; one of them is current. A private key cannot be exported,
 * and signing out forgets neither key nor outbox: only who is current.
 *
 * @import { Enrolment, Site, User } from "./enrolments.js"
 * @typedef {{ user: User, sites: Site[], kid: string, privateKey: CryptoKey, site: string | null, label: string }} Identity
 * @typedef {{ ok: boolean, triesLeft: number, why: string | null }} PassphraseAnswer
 */
import { announce, onChange } from "./changes.js";
import { changeEnrolment, enrolmentOf, isUsable } from "./enrolments.js";
import { withDatabase, writeStrictly } from "./idb.js";
import { matches, TRIES } from "./passphrase.js";

const SIGN_IN_ONLINE = "Sign in once with the network on; after that this works without it.";
const LOCKED = `Five wrong passphrases. ${SIGN_IN_ONLINE} Nothing on this phone was lost.`;
const NOT_HERE = `You are not enrolled on this phone. ${SIGN_IN_ONLINE}`;

/**
 * Return the person who works here now, or null.
 *
 * @returns {Promise<Identity | null>}
 */
export async function currentIdentity() {
  const enrolment = await currentEnrolment();
  return enrolment && identityOf(enrolment);
}

/**
 * Return everybody enrolled on this device, signed out or not.
 *
 * @returns {Promise<{ id: string, name: string, current: boolean, locked: boolean }[]>}
 */
export async function peopleOfThisDevice() {
  const current = await currentEnrolment();
  const everybody = await withDatabase((database) => database.getAll("identities"));
  return everybody.filter(isUsable).map(({ userId, user, triesLeft }) => ({
    id: userId,
    name: user.name,
    current: userId === current?.userId,
    locked: triesLeft <= 0,
  }));
}

/**
 * Check the current person's passphrase without the network.
 *
 * @param {string} passphrase
 * @returns {Promise<PassphraseAnswer>}
 */
export async function checkPassphrase(passphrase) {
  const enrolment = await currentEnrolment();
  return checkPassphraseOf(enrolment?.userId ?? "", passphrase);
}

/**
 * Make an enrolled person current, without the network, if the passphrase is theirs.
 *
 * @param {string} userId
 * @param {string} passphrase
 * @returns {Promise<PassphraseAnswer>}
 */
export async function resume(userId, passphrase) {
  const answer = await checkPassphraseOf(userId, passphrase);
  if (answer.ok) await makeCurrent(userId);
  return answer;
}

/**
 * Choose the camp that new records of the current person belong to.
 *
 * @param {string} site
 */
export async function chooseSite(site) {
  const enrolment = await currentEnrolment();
  if (!enrolment) throw new Error(NOT_HERE);
  if (!enrolment.user.roles.some((role) => role.site === site)) {
    throw new Error("You have no role at that site; ask an administrator to add it.");
  }
  await changeEnrolment(enrolment.userId, () => ({ site }));
  announce({ why: "identity", persons: [] });
}

/**
 * Return the roles a person has at a site.
 *
 * @param {Identity} identity
 * @param {string} site
 * @returns {string[]}
 */
export function rolesAt(identity, site) {
  return identity.user.roles.filter((role) => role.site === site).map(({ role }) => role);
}

/**
 * Say whether somebody decides on eyes anywhere.
 *
 * @param {Identity | null} identity
 * @returns {boolean}
 */
export function isSurgeon(identity) {
  return identity?.user.roles.some(({ role }) => role === "surgeon") ?? false;
}

/**
 * Say whether somebody can start to work: a surgeon reads every camp, others say which one it is.
 *
 * @param {Identity | null} identity
 * @returns {boolean}
 */
export function isReady(identity) {
  return identity !== null && (identity.site !== null || isSurgeon(identity));
}

/**
 * Return the sites whose records a person may read and write: those of every role but the
 * administrator's, which sees no patient.
 *
 * @param {Identity} identity
 * @returns {string[]}
 */
export function clinicalSites(identity) {
  const clinical = identity.user.roles.filter(({ role }) => role !== "administrator");
  return [...new Set(clinical.map(({ site }) => site))];
}

/**
 * Call `listener` when who works here, or where, has changed; return how to stop.
 *
 * @param {() => void} listener
 * @returns {() => void}
 */
export function onIdentity(listener) {
  return onChange(({ why }) => {
    if (why === "identity") listener();
  });
}

/**
 * Make a person current, or nobody with null.
 *
 * @param {string | null} userId
 */
export async function makeCurrent(userId) {
  await writeStrictly(["meta"], (transaction) =>
    transaction.objectStore("meta").put({ name: "current", value: userId }),
  );
  announce({ why: "identity", persons: [] });
}

/** @returns {Promise<Enrolment | null>} */
function currentEnrolment() {
  return withDatabase(async (database) => {
    const transaction = database.transaction(["meta", "identities"]);
    const current = await transaction.objectStore("meta").get("current");
    if (!current?.value) return null;
    const enrolment = await transaction.objectStore("identities").get(current.value);
    return enrolment && isUsable(enrolment) ? enrolment : null;
  });
}

/**
 * @param {string} userId
 * @param {string} passphrase
 * @returns {Promise<PassphraseAnswer>}
 */
async function checkPassphraseOf(userId, passphrase) {
  const enrolment = await enrolmentOf(userId);
  if (!enrolment?.verifier) return { ok: false, triesLeft: 0, why: NOT_HERE };
  // The try is counted before it is made: killing the app in the middle wins no extra guess.
  const { triesLeft } = await changeEnrolment(userId, (kept) => ({ triesLeft: kept.triesLeft - 1 }));
  if (triesLeft < 0) return { ok: false, triesLeft: 0, why: LOCKED };
  if (await matches(enrolment.verifier, passphrase)) {
    await changeEnrolment(userId, () => ({ triesLeft: TRIES }));
    return { ok: true, triesLeft: TRIES, why: null };
  }
  return { ok: false, triesLeft, why: triesLeft === 0 ? LOCKED : wrongPassphrase(triesLeft) };
}

/** @param {number} triesLeft */
function wrongPassphrase(triesLeft) {
  const tries = triesLeft === 1 ? "1 try is" : `${triesLeft} tries are`;
  return `That is not your passphrase. ${tries} left before you must sign in online.`;
}

/**
 * @param {Enrolment} enrolment
 * @returns {Identity}
 */
function identityOf({ user, sites, kid, privateKey, site, label }) {
  return { user, sites, kid, privateKey, site, label };
}
