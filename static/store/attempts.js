/**
 * Tries of a passphrase: counted before they are made, slower and slower, ten at most.
 *
 * Whoever copies the disk can guess without these counts; there the slow hash is what stands.
 *
 * @import { Enrolment } from "./enrolments.js"
 */
import { changeEnrolment } from "./enrolments.js";
import { heldKeys, lock as lockPhone } from "./vault.js";

/** After so many wrong ones in a row a person's lock is taken off the phone. */
export const MOST_WRONG = 10;
const FREE = 3;
const FIRST_WAIT_MS = 5_000;
const NO_LOCK = { lock: null, next: null };

export const LOCKED_OUT =
  "Ten wrong passphrases: your key was taken off this phone. Nothing that is kept here was lost, " +
  "and it stays encrypted. Sign in with the network on, with somebody else of this phone beside " +
  "you to let you in; if there is nobody, take the phone to the base hospital.";

const NOT_OPENED =
  "Your passphrase does not open this phone yet. Sign in with the network on; somebody who works on " +
  "this phone lets you in.";

/**
 * Say why no passphrase of a person opens this phone.
 *
 * @param {Pick<Enrolment, "wrongTries">} [enrolment]
 */
export function whyLockless(enrolment) {
  return enrolment && enrolment.wrongTries >= MOST_WRONG ? LOCKED_OUT : NOT_OPENED;
}

/**
 * Return how long to wait after so many wrong tries in a row [ms].
 *
 * @param {number} wrong
 */
export function waitAfterMs(wrong) {
  return wrong <= FREE ? 0 : FIRST_WAIT_MS * 2 ** (wrong - FREE - 1);
}

/**
 * Count a try that is about to be made; say why it may not be made, or null.
 *
 * @param {string} userId
 * @param {number} [nowMs]
 * @returns {Promise<string | null>}
 */
export async function countTry(userId, nowMs = Date.now()) {
  /** @type {string | null} */
  let why = null;
  await changeEnrolment(userId, (kept) => {
    const { change, refusal } = judge(kept, nowMs);
    why = refusal;
    return change;
  });
  return why;
}

/**
 * Forget the wrong tries: the passphrase was right.
 *
 * @param {string} userId
 */
export async function clearTries(userId) {
  await changeEnrolment(userId, () => ({ wrongTries: 0 }));
}

/**
 * Note that the counted try was wrong; return what to tell.
 *
 * @param {string} userId
 * @returns {Promise<string>}
 */
export async function noteWrong(userId) {
  const { wrongTries, lock } = await changeEnrolment(userId, (kept) =>
    kept.wrongTries >= MOST_WRONG ? NO_LOCK : {},
  );
  if (lock === null) {
    if (heldKeys()?.userId === userId) lockPhone();
    return LOCKED_OUT;
  }
  const left = MOST_WRONG - wrongTries;
  const tries = left === 1 ? "1 try is" : `${left} tries are`;
  return `That is not the passphrase. ${tries} left before the key is taken off this phone.${waitWords(wrongTries)}`;
}

/**
 * @param {Enrolment} kept
 * @param {number} nowMs
 * @returns {{ change: Partial<Enrolment>, refusal: string | null }}
 */
function judge({ wrongTries, lastTryMs }, nowMs) {
  // Ten were counted and the app was killed before the last one was found wrong.
  if (wrongTries >= MOST_WRONG) return { change: NO_LOCK, refusal: LOCKED_OUT };
  const passedMs = nowMs - lastTryMs;
  const leftMs = waitAfterMs(wrongTries) - Math.max(0, passedMs);
  // A clock that was set back is taken as it is now, so that nobody waits for years.
  if (leftMs > 0) return { change: passedMs < 0 ? { lastTryMs: nowMs } : {}, refusal: waitFirst(leftMs) };
  return { change: { wrongTries: wrongTries + 1, lastTryMs: nowMs }, refusal: null };
}

/** @param {number} leftMs */
function waitFirst(leftMs) {
  return `Wait ${Math.ceil(leftMs / 1000)} seconds before the next try; this one was not counted.`;
}

/** @param {number} wrong */
function waitWords(wrong) {
  const waitMs = waitAfterMs(wrong);
  return waitMs > 0 ? ` The next try is possible in ${waitMs / 1000} seconds.` : "";
}
