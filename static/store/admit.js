/**
 * Giving a person who signed in with the network a lock on this phone.
 *
 * The first person's lock comes with the phone's data key. Everybody after that is let in by
 * somebody whose passphrase opens the phone, since nobody else has the data key: another person of
 * this phone, or the same one with the passphrase from before it was changed.
 *
 * @import { Enrolment } from "./enrolments.js"
 * @import { OpenedLock } from "./person_lock.js"
 * @typedef {Pick<Enrolment, "userId" | "user" | "sites" | "site" | "label">} Person
 * @typedef {{ userId: string, passphrase: string }} Voucher
 * @typedef {{ enrolment: Enrolment, keys: OpenedLock & { signingKey: CryptoKey } }} Admitted keys are exportable
 */
import { clearTries } from "./attempts.js";
import { changeEnrolment, enrolmentOf, keepEnrolment } from "./enrolments.js";
import { makeLock, newDataKey, openLock, WrongPassphrase } from "./person_lock.js";
import { addRecovery, wrappedForBase } from "./recovery.js";
import { startVault, vaultHere } from "./sealing.js";
import { keyWorks, makeKey } from "./signing_key.js";
import { triedKeys } from "./unlock.js";

/** Somebody who works on this phone has to let this person in. */
export class VoucherNeeded extends Error {
  name = "VoucherNeeded";
}

const NOT_ALONE =
  "This phone is encrypted, and your passphrase does not open it yet. Somebody who works on it lets " +
  "you in: they give their passphrase below. If you changed yours, give the one from before.";

/**
 * Give a person a lock by this passphrase, which the base has just accepted.
 *
 * @param {Person} person
 * @param {string} passphrase
 * @param {{ recovery: string | null, voucher: Voucher | null }} how the base's recovery key, and who lets them in
 * @returns {Promise<Admitted>} as read back from the disk
 * @throws {VoucherNeeded | import("./unlock.js").NotOpened} nobody was let in
 */
export async function admit(person, passphrase, { recovery, voucher }) {
  if (!(await vaultHere())) return firstOfPhone(person, passphrase, recovery);
  const own = await ownKeys(person.userId, passphrase);
  const keys = own ?? (await keysBy(voucher, person.userId));
  await addRecovery(keys.dataKey, recovery);
  const before = await enrolmentOf(person.userId);
  const { signingKey } = keys;
  if (!before || !signingKey || !(await keyWorks(before, signingKey))) {
    return withNewKey(person, passphrase, keys.dataKey);
  }
  if (own) return { enrolment: await changeEnrolment(person.userId, () => person), keys: { ...own, signingKey } };
  const lock = await makeLock(person.userId, passphrase, keys);
  await keepEnrolment({ ...before, ...person, lock, wrongTries: 0 });
  return readBack(person.userId, passphrase);
}

/**
 * Give a person a new signing key; what the old one signed stays as it is.
 *
 * @param {Person} person
 * @param {string} passphrase
 * @param {CryptoKey} dataKey exportable
 * @returns {Promise<Admitted>}
 */
export async function withNewKey(person, passphrase, dataKey) {
  const enrolment = await newEnrolment(person, passphrase, dataKey);
  await keepEnrolment(enrolment);
  return readBack(person.userId, passphrase);
}

/**
 * @param {Person} person
 * @param {string} passphrase
 * @param {string | null} recovery
 */
async function firstOfPhone(person, passphrase, recovery) {
  const dataKey = await newDataKey();
  const enrolment = await newEnrolment(person, passphrase, dataKey);
  await startVault(dataKey, enrolment, await wrappedForBase(dataKey, recovery));
  return readBack(person.userId, passphrase);
}

/**
 * @param {Person} person
 * @param {string} passphrase
 * @param {CryptoKey} dataKey
 * @returns {Promise<Enrolment>}
 */
async function newEnrolment(person, passphrase, dataKey) {
  const { kid, spki, signingKey } = await makeKey();
  const lock = await makeLock(person.userId, passphrase, { dataKey, signingKey });
  return { ...person, kid, spki, isEnrolled: false, lock, wrongTries: 0, lastTryMs: 0 };
}

/**
 * Return what a passphrase that the base accepted opens here, or null. It counts as no try: whoever
 * knows it guesses no more.
 *
 * @param {string} userId
 * @param {string} passphrase
 * @returns {Promise<OpenedLock | null>}
 */
async function ownKeys(userId, passphrase) {
  const enrolment = await enrolmentOf(userId);
  if (!enrolment?.lock) return null;
  try {
    const keys = await openLock(userId, passphrase, enrolment.lock, true);
    await clearTries(userId);
    return keys;
  } catch (error) {
    if (error instanceof WrongPassphrase) return null;
    throw error;
  }
}

/**
 * @param {Voucher | null} voucher
 * @param {string} userId
 * @returns {Promise<OpenedLock>}
 */
async function keysBy(voucher, userId) {
  if (!voucher) throw new VoucherNeeded(NOT_ALONE);
  const { dataKey, signingKey } = await triedKeys(voucher.userId, voucher.passphrase, true);
  return { dataKey, signingKey: voucher.userId === userId ? signingKey : null };
}

/**
 * @param {string} userId
 * @param {string} passphrase
 * @returns {Promise<Admitted>}
 */
async function readBack(userId, passphrase) {
  const enrolment = await enrolmentOf(userId);
  if (!enrolment?.lock) throw new Error("This browser did not keep the lock.");
  const { dataKey, signingKey } = await openLock(userId, passphrase, enrolment.lock, true);
  if (!signingKey || !(await keyWorks(enrolment, signingKey))) throw new Error("This browser did not keep the key.");
  return { enrolment, keys: { dataKey, signingKey } };
}
