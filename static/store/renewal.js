/**
 * A new signing key for somebody of this phone: kept here before the base hears of it, and taken into
 * use once the base knows it. Until then the old key signs; afterwards it is remembered as given up
 * until the base has closed it.
 *
 * @import { Enrolment, NextKey } from "./enrolments.js"
 */
import { announce } from "./changes.js";
import { changeEnrolment, enrolmentOf } from "./enrolments.js";
import { withDatabase } from "./idb.js";
import { withLock } from "./locks.js";
import { fixedKeys, makeLock, openLock, WrongPassphrase } from "./person_lock.js";
import { keyWorks, makeKey } from "./signing_key.js";
import { triedKeys } from "./unlock.js";
import { holdKeys } from "./vault.js";

/**
 * Return the key that is to follow a person's own, made now unless it lies here from an earlier try.
 *
 * @param {string} userId
 * @param {string} passphrase
 * @returns {Promise<NextKey>} as read back from the disk
 * @throws {import("./unlock.js").NotOpened} the passphrase is not theirs
 */
export async function nextKey(userId, passphrase) {
  const { dataKey } = await triedKeys(userId, passphrase, true);
  const kept = (await enrolmentOf(userId))?.next;
  if (kept && (await openedNext(userId, passphrase, kept))) return kept;
  const { kid, spki, signingKey } = await makeKey();
  const lock = await makeLock(userId, passphrase, { dataKey, signingKey });
  const { next } = await changeEnrolment(userId, () => ({ next: { kid, spki, lock } }));
  return /** @type {NextKey} */ (next);
}

/**
 * Forget the key that was to follow: the base does not take it.
 *
 * @param {string} userId
 */
export async function dropNextKey(userId) {
  await changeEnrolment(userId, () => ({ next: null }));
}

/**
 * Sign with the next key from now on. What the old one signed stays as it is, to be sent.
 *
 * @param {string} userId
 * @param {string} passphrase
 */
export async function takeNextKey(userId, passphrase) {
  const { kid: old, next } = /** @type {Enrolment} */ (await enrolmentOf(userId));
  const keys = next && (await openedNext(userId, passphrase, next));
  if (!next || !keys) throw new Error("This browser did not keep the new key. Try again.");
  // A record that is being kept with the old key gets its place first; who waits signs with the new one.
  await withLock(`chain-${old}`, async () => {
    await changeEnrolment(userId, () => ({ ...next, next: null, given_up: old }));
    holdKeys({ userId, kid: next.kid, ...keys });
  });
  announce({ why: "identity", persons: [] });
}

/**
 * Return the key that a person gave up and the base has not closed yet, and its last place, or null.
 *
 * @param {string} userId
 * @returns {Promise<{ kid: string, signed: number } | null>}
 */
export async function givenUpKey(userId) {
  const kid = (await enrolmentOf(userId))?.given_up;
  if (!kid) return null;
  const head = await withDatabase((database) => database.get("heads", kid));
  return { kid, signed: head?.seq ?? 0 };
}

/**
 * Note that the base has closed the key that was given up.
 *
 * @param {string} userId
 */
export async function forgetGivenUp(userId) {
  await changeEnrolment(userId, ({ given_up: old, replaced = [] }) => ({
    given_up: null,
    replaced: [...replaced, ...(old ? [old] : [])],
  }));
}

/**
 * Take up again that a key is to be closed: it was, and the base, restored from a copy, lost it.
 *
 * @param {string} userId
 * @param {{ kid: string }[]} open the keys of which the base expects records
 */
export async function giveUpAgain(userId, open) {
  const { given_up: old, replaced = [] } = (await enrolmentOf(userId)) ?? {};
  const lost = replaced.find((one) => open.some(({ kid }) => kid === one));
  if (old || !lost) return;
  await changeEnrolment(userId, () => ({ given_up: lost, replaced: replaced.filter((one) => one !== lost) }));
  announce({ why: "identity", persons: [] });
}

/**
 * @param {string} userId
 * @param {string} passphrase
 * @param {NextKey} next
 * @returns {Promise<{ dataKey: CryptoKey, signingKey: CryptoKey } | null>} none that can be exported
 */
async function openedNext(userId, passphrase, next) {
  try {
    const { dataKey, signingKey } = await openLock(userId, passphrase, next.lock, true);
    return signingKey && (await keyWorks(next, signingKey)) ? fixedKeys({ dataKey, signingKey }) : null;
  } catch (error) {
    // The person changed their passphrase in between: another key is made.
    if (error instanceof WrongPassphrase) return null;
    throw error;
  }
}
