/**
 * Who works on this device: the people enrolled here, each with a signing key of their own.
 *
 * Several people may share a device; one of them is current, and is nobody while the phone is
 * locked. Signing out forgets neither key nor outbox: only who is current.
 *
 * @import { Enrolment, Site, User } from "./enrolments.js"
 * @typedef {{ user: User, sites: Site[], kid: string, privateKey: CryptoKey, site: string | null, label: string, given_up?: string | null }} Identity
 */
import { whyLockless } from "./attempts.js";
import { announce, onChange } from "./changes.js";
import { allEnrolments, changeEnrolment, isUsable } from "./enrolments.js";
import { withDatabase, writeStrictly } from "./idb.js";
import { readFact } from "./meta.js";
import { heldKeys, lock } from "./vault.js";

const NOT_HERE = "This phone is locked. Say who is working, then choose the camp.";

/**
 * Return the person who works here now, or null; nobody does on a locked phone.
 *
 * @returns {Promise<Identity | null>}
 */
export async function currentIdentity() {
  const enrolment = await currentEnrolment();
  const keys = heldKeys();
  // Another tab may have given the phone to somebody else, or a new key to the same person.
  if (!keys || enrolment?.userId !== keys.userId || enrolment.kid !== keys.kid) return null;
  return identityOf(enrolment, keys.signingKey);
}

/**
 * Return everybody enrolled on this device, signed out or not.
 *
 * @returns {Promise<{ id: string, name: string, current: boolean, locked: string | null }[]>}
 *   `locked`: why no passphrase of theirs opens the phone
 */
export async function peopleOfThisDevice() {
  const current = await readFact("current");
  const finished = (await allEnrolments()).filter(({ isEnrolled }) => isEnrolled);
  return finished.map((enrolment) => ({
    id: enrolment.userId,
    name: enrolment.user.name,
    current: enrolment.userId === current,
    locked: isUsable(enrolment) ? null : whyLockless(enrolment),
  }));
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
 * Say whether somebody checks lenses in theatre anywhere.
 *
 * @param {Identity | null} identity
 * @returns {boolean}
 */
export function isOfTheatre(identity) {
  return identity?.user.roles.some(({ role }) => role === "theatre") ?? false;
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
  if (userId === null) lock();
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
 * Return a person of this device as they sign.
 *
 * @param {Enrolment} enrolment
 * @param {CryptoKey} privateKey
 * @returns {Identity}
 */
export function identityOf({ user, sites, kid, site, label, given_up }, privateKey) {
  return { user, sites, kid, privateKey, site, label, given_up };
}
