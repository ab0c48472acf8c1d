/**
 * Opening the phone by a person's passphrase, without the network, and asking for it once more.
 *
 * @import { Enrolment } from "./enrolments.js"
 * @import { OpenedLock } from "./person_lock.js"
 * @typedef {{ ok: boolean, why: string | null }} PassphraseAnswer
 */
import { clearTries, countTry, noteWrong, whyLockless } from "./attempts.js";
import { enrolmentOf } from "./enrolments.js";
import { makeCurrent } from "./identity.js";
import { matches } from "./passphrase.js";
import { openLock, WrongPassphrase } from "./person_lock.js";
import { sealEverything } from "./sealing.js";
import { heldKeys, holdKeys } from "./vault.js";

/** The passphrase was not taken; the message says why and what to do. */
export class NotOpened extends Error {
  name = "NotOpened";
}

/**
 * Open the phone for a person, who is current from then on.
 *
 * @param {string} userId
 * @param {string} passphrase
 * @returns {Promise<PassphraseAnswer>}
 */
export function unlock(userId, passphrase) {
  return answered(async () => {
    const keys = await triedKeys(userId, passphrase);
    await hold(userId, keys);
    await makeCurrent(userId);
  });
}

/**
 * Check the passphrase of the person who works here once more, as before an approval.
 *
 * @param {string} passphrase
 * @returns {Promise<PassphraseAnswer>}
 */
export function checkPassphrase(passphrase) {
  return answered(() => triedKeys(heldKeys()?.userId ?? "", passphrase));
}

/**
 * Return a person's keys if the passphrase is theirs. The try is counted before it is made, so that
 * killing the app in the middle wins no extra guess.
 *
 * @param {string} userId
 * @param {string} passphrase
 * @param {boolean} [exportable] only to wrap the keys once more
 * @returns {Promise<OpenedLock>}
 * @throws {NotOpened}
 */
export async function triedKeys(userId, passphrase, exportable = false) {
  const enrolment = await enrolmentOf(userId);
  if (!enrolment?.lock && !enrolment?.verifier) throw new NotOpened(whyLockless(enrolment ?? undefined));
  const refusal = await countTry(userId);
  if (refusal) throw new NotOpened(refusal);
  const keys = await openedBy(enrolment, passphrase, exportable);
  if (!keys) throw new NotOpened(await noteWrong(userId));
  await clearTries(userId);
  return keys;
}

/**
 * @param {Enrolment} enrolment
 * @param {string} passphrase
 * @param {boolean} exportable
 * @returns {Promise<OpenedLock | null>}
 */
async function openedBy(enrolment, passphrase, exportable) {
  const { userId, lock, verifier } = enrolment;
  if (!lock) return verifier && (await matches(verifier, passphrase)) ? sealEverything(enrolment, passphrase) : null;
  try {
    return await openLock(userId, passphrase, lock, exportable);
  } catch (error) {
    if (error instanceof WrongPassphrase) return null;
    throw error;
  }
}

/**
 * @param {string} userId
 * @param {OpenedLock} keys
 */
async function hold(userId, { dataKey, signingKey }) {
  const enrolment = /** @type {Enrolment} */ (await enrolmentOf(userId));
  const signing = signingKey ?? enrolment.privateKey;
  if (!signing) throw new NotOpened(whyLockless());
  holdKeys({ userId, kid: enrolment.kid, dataKey, signingKey: signing });
}

/**
 * @param {() => Promise<unknown>} work
 * @returns {Promise<PassphraseAnswer>}
 */
async function answered(work) {
  try {
    await work();
    return { ok: true, why: null };
  } catch (error) {
    if (error instanceof NotOpened) return { ok: false, why: error.message };
    throw error;
  }
}
