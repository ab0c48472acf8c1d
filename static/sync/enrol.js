/**
 * Signing in online and enrolling this device: a lock by the passphrase, a key that was proven to
 * work, and its name told to the base.
 *
 * @import { Admitted, Person, Voucher } from "../store/admit.js"
 * @import { Site, User } from "../store/enrolments.js"
 * @import { Identity } from "../store/identity.js"
 */
import { admit, VoucherNeeded, withNewKey } from "../store/admit.js";
import { changeEnrolment, enrolmentOf } from "../store/enrolments.js";
import { currentIdentity, makeCurrent } from "../store/identity.js";
import { fixedKeys } from "../store/person_lock.js";
import { captureAllowed } from "../store/storage.js";
import { NotOpened } from "../store/unlock.js";
import { holdKeys } from "../store/vault.js";
import { OfflineError, postJson, RefusedError, requireShape, SignInNeeded } from "./http.js";

const NO_NETWORK =
  "The base hospital cannot be reached. The first sign-in on a phone needs the network; after " +
  "that it works without.";

const NO_KEY =
  "This browser could not keep a signing key, so readings taken here could not be signed. " +
  "Leave private browsing, or use another browser, and sign in again.";

/** This device could not be made ready for signing. */
export class EnrolFailed extends Error {
  name = "EnrolFailed";
}

/**
 * Sign in and make this device ready to sign as that person; the person becomes current.
 *
 * @param {string} name
 * @param {string} passphrase
 * @param {Voucher | null} [voucher] who lets this person in on an encrypted phone
 * @returns {Promise<Identity>}
 * @throws {OfflineError | RefusedError | EnrolFailed | VoucherNeeded | NotOpened} each says in
 *   `message` what to do
 */
export async function enrol(name, passphrase, voucher = null) {
  const { ok, why } = captureAllowed();
  if (!ok) throw new EnrolFailed(why ?? "");
  const { user, sites, recovery } = await signIn(name, passphrase);
  const person = await personHere(user, sites);
  const how = { recovery: recovery ?? null, voucher };
  const admitted = await proven(() => admit(person, passphrase, how));
  const { enrolment, keys } = await acceptedByBase(person, passphrase, admitted);
  await changeEnrolment(user.id, () => ({ isEnrolled: true }));
  holdKeys({ userId: user.id, kid: enrolment.kid, ...(await fixedKeys(keys)) });
  await makeCurrent(user.id);
  return /** @type {Identity} */ (await currentIdentity());
}

/** Sign out: the phone is locked and the session ends; keys, records and outbox stay. */
export async function signOut() {
  await makeCurrent(null);
  try {
    await postJson("/auth/sign-out", {});
  } catch (error) {
    // Without the network the session ends by its own time limit; this phone no longer uses it.
    if (!(error instanceof OfflineError || error instanceof SignInNeeded)) throw error;
  }
}

/**
 * @param {string} name
 * @param {string} passphrase
 * @returns {Promise<{ user: User, sites: Site[], recovery?: string | null }>}
 */
async function signIn(name, passphrase) {
  try {
    const answer = await postJson("/auth/sign-in", { name: name.trim(), passphrase });
    return requireShape(answer, { user: "object", sites: "array" });
  } catch (error) {
    if (error instanceof SignInNeeded) throw new RefusedError(error.message, "sign-in", 401);
    if (error instanceof OfflineError && error.name === "OfflineError") {
      throw new OfflineError(NO_NETWORK, { cause: error });
    }
    throw error;
  }
}

/**
 * Return the person with today's roles, at the camp chosen before where there still is a role.
 *
 * @param {User} user
 * @param {Site[]} sites
 * @returns {Promise<Person>}
 */
async function personHere(user, sites) {
  const before = await enrolmentOf(user.id);
  const camps = [...new Set(user.roles.map((role) => role.site))];
  const only = camps.length === 1 ? (camps[0] ?? null) : null;
  const site = before?.site && camps.includes(before.site) ? before.site : only;
  return { userId: user.id, user, sites, site, label: before?.label ?? deviceLabel() };
}

/**
 * Tell the base of the key; one that the base no longer takes makes way for a new.
 *
 * @param {Person} person
 * @param {string} passphrase
 * @param {Admitted} admitted
 * @returns {Promise<Admitted>}
 */
async function acceptedByBase(person, passphrase, admitted) {
  try {
    await nameKeyToBase(admitted.enrolment);
    return admitted;
  } catch (error) {
    const isRevoked = error instanceof RefusedError && error.code === "device.taken";
    if (!isRevoked || !admitted.enrolment.isEnrolled) throw error;
    const { dataKey } = admitted.keys;
    const renewed = await proven(() => withNewKey(person, passphrase, dataKey));
    return acceptedByBase(person, passphrase, renewed);
  }
}

/**
 * @template T
 * @param {() => Promise<T>} work that writes keys and reads them back
 * @returns {Promise<T>}
 */
async function proven(work) {
  try {
    return await work();
  } catch (error) {
    if (error instanceof VoucherNeeded || error instanceof NotOpened) throw error;
    throw new EnrolFailed(NO_KEY, { cause: error });
  }
}

/**
 * @param {{ kid: string, spki: string, label: string }} key
 * @param {string} [passphrase] needed where the person has not signed in just now
 */
export async function nameKeyToBase({ spki, label, kid }, passphrase) {
  const answer = await postJson("/auth/enrol", { spki, label, passphrase });
  requireShape(answer, { kid: "string" });
  if (answer.kid !== kid) {
    throw new EnrolFailed("The base hospital named this phone's key differently; sign in again.");
  }
}

/** What the desk calls this device: its kind and today's date. */
export function deviceLabel() {
  const agent = globalThis.navigator?.userAgent ?? "";
  const found = /Android|iPhone|iPad|Windows|Macintosh|CrOS|Linux/.exec(agent);
  // "Sun, 29 Nov 2026 20:05:00 GMT", as the standard of the language writes it.
  const day = new Date().toUTCString().slice(5, 16).replace(/^0/, "");
  return `${found ? found[0] : "Device"}, enrolled ${day}`;
}
