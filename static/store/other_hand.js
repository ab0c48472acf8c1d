/**
 * Another person of this phone signs one record by their own passphrase; who works here stays.
 *
 * @import { Role } from "./enrolments.js"
 * @import { Identity } from "./identity.js"
 */
import { KINDS } from "../records/kinds.js";
import { whyLockless } from "./attempts.js";
import { allEnrolments, enrolmentOf, isUsable } from "./enrolments.js";
import { identityOf } from "./identity.js";
import { NotOpened, triedKeys } from "./unlock.js";

/**
 * Return who else of this phone than one person may sign a kind of record at a site.
 *
 * @param {string} kind
 * @param {string} site
 * @param {string} first id of that person
 * @returns {Promise<{ id: string, name: string, locked: string | null }[]>} `locked`: why no
 *   passphrase of theirs opens the phone
 */
export async function othersWhoSign(kind, site, first) {
  const mayAt = (/** @type {Role} */ { role, site: at }) => at === site && KINDS[kind].roles.includes(role);
  return (await allEnrolments())
    .filter(({ userId, user, isEnrolled }) => isEnrolled && userId !== first && user.roles.some(mayAt))
    .map((enrolment) => ({
      id: enrolment.userId,
      name: enrolment.user.name,
      locked: isUsable(enrolment) ? null : whyLockless(enrolment),
    }));
}

/**
 * Return a person as they sign, opened by their passphrase and held nowhere else.
 *
 * @param {string} userId
 * @param {string} passphrase
 * @returns {Promise<Identity>}
 * @throws {NotOpened} the message says why and what to do
 */
export async function handOf(userId, passphrase) {
  const { signingKey } = await triedKeys(userId, passphrase);
  const enrolment = await enrolmentOf(userId);
  const key = signingKey ?? enrolment?.privateKey;
  if (!enrolment || !key) throw new NotOpened(whyLockless());
  return identityOf(enrolment, key);
}
