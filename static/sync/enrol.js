/**
 * Signing in online and enrolling this device: making a key, proving it works, naming it to the base.
 *
 * @import { Enrolment, Site, User } from "../store/enrolments.js"
 * @import { Identity } from "../store/identity.js"
 */
import { enrolmentOf, keepEnrolment } from "../store/enrolments.js";
import { currentIdentity, makeCurrent } from "../store/identity.js";
import { makeVerifier, TRIES } from "../store/passphrase.js";
import { keyWorks, makeKey } from "../store/signing_key.js";
import { captureAllowed } from "../store/storage.js";
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
 * @returns {Promise<Identity>}
 * @throws {OfflineError | RefusedError | EnrolFailed} each says in `message` what to do
 */
export async function enrol(name, passphrase) {
  const { ok, why } = captureAllowed();
  if (!ok) throw new EnrolFailed(why ?? "");
  const { user, sites } = await signIn(name, passphrase);
  const enrolment = await acceptedByBase(await enrolmentFor(user, sites));
  const verifier = await makeVerifier(passphrase);
  await keepEnrolment({ ...enrolment, isEnrolled: true, verifier, triesLeft: TRIES });
  await makeCurrent(user.id);
  return /** @type {Identity} */ (await currentIdentity());
}

/** Sign out: nobody is current here and the session ends; key, records and outbox stay. */
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
 * @returns {Promise<{ user: User, sites: Site[] }>}
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
 * Return the person's enrolment here with today's roles, or a new one with a new key.
 *
 * @param {User} user
 * @param {Site[]} sites
 * @returns {Promise<Enrolment>}
 */
async function enrolmentFor(user, sites) {
  const before = await enrolmentOf(user.id);
  const camps = [...new Set(user.roles.map((role) => role.site))];
  const only = camps.length === 1 ? (camps[0] ?? null) : null;
  const site = before?.site && camps.includes(before.site) ? before.site : only;
  // A browser that lost the key keeps the old chain as it is and starts a new one.
  if (before && (await keyWorks(before))) return { ...before, user, sites, site };
  return newEnrolment(user, sites, site);
}

/**
 * @param {User} user
 * @param {Site[]} sites
 * @param {string | null} site
 * @returns {Promise<Enrolment>}
 */
async function newEnrolment(user, sites, site) {
  const key = await makeKey();
  const fresh = { label: deviceLabel(), isEnrolled: false, verifier: null, triesLeft: TRIES };
  return { userId: user.id, user, sites, site, ...key, ...fresh };
}

/**
 * Prove the key, then tell the base of it; one that the base no longer takes makes way for a new.
 *
 * @param {Enrolment} enrolment
 * @returns {Promise<Enrolment>}
 */
async function acceptedByBase(enrolment) {
  try {
    await provenOnDisk(enrolment);
    await nameKeyToBase(enrolment);
    return enrolment;
  } catch (error) {
    const isRevoked = error instanceof RefusedError && error.code === "device.taken";
    if (!isRevoked || !enrolment.isEnrolled) throw error;
    const { user, sites, site } = enrolment;
    return acceptedByBase(await newEnrolment(user, sites, site));
  }
}

/** @param {Enrolment} enrolment */
async function provenOnDisk(enrolment) {
  try {
    await keepEnrolment(enrolment);
    const kept = await enrolmentOf(enrolment.userId);
    if (kept && (await keyWorks(kept))) return;
  } catch (error) {
    throw new EnrolFailed(NO_KEY, { cause: error });
  }
  throw new EnrolFailed(NO_KEY);
}

/** @param {Enrolment} enrolment */
async function nameKeyToBase({ spki, label, kid }) {
  const answer = await postJson("/auth/enrol", { spki, label });
  requireShape(answer, { kid: "string" });
  if (answer.kid !== kid) {
    throw new EnrolFailed("The base hospital named this phone's key differently; sign in again.");
  }
}

function deviceLabel() {
  const agent = globalThis.navigator?.userAgent ?? "";
  const found = /Android|iPhone|iPad|Windows|Macintosh|CrOS|Linux/.exec(agent);
  return `${found ? found[0] : "Device"}, enrolled ${new Date().toISOString().slice(0, 10)}`;
}
