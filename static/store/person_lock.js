/**
 * A person's lock on this phone: the data key and their own signing key, wrapped by the passphrase.
 *
 * The data key opens what everybody enrolled here may read; a signing key is wrapped by its own
 * person's passphrase alone, so that nobody signs as somebody else on a shared phone.
 *
 * @import { Box } from "./box.js"
 * @typedef {object} PersonLock
 * @property {Uint8Array<ArrayBuffer>} salt
 * @property {number} rounds
 * @property {Box} dataKey
 * @property {Box | null} signingKey PKCS #8; null for a key of an older version, which cannot be exported
 * @typedef {{ dataKey: CryptoKey, signingKey: CryptoKey | null }} OpenedLock
 */
import { gcm, newIv } from "./box.js";
import { newSalt, ROUNDS, wrappingKey } from "./passphrase.js";

const AES = { name: "AES-GCM", length: 256 };
const SEALING = /** @type {KeyUsage[]} */ (["encrypt", "decrypt"]);
const ECDSA = { name: "ECDSA", namedCurve: "P-256" };

/** The passphrase does not open this lock. */
export class WrongPassphrase extends Error {
  name = "WrongPassphrase";
}

/**
 * Make a data key, exportable: it has yet to be wrapped.
 *
 * @returns {Promise<CryptoKey>}
 */
export async function newDataKey() {
  return crypto.subtle.generateKey(AES, true, SEALING);
}

/**
 * Wrap both keys, which must be exportable, by a passphrase.
 *
 * @param {string} userId
 * @param {string} passphrase
 * @param {OpenedLock} keys
 * @param {number} [rounds]
 * @returns {Promise<PersonLock>}
 */
export async function makeLock(userId, passphrase, { dataKey, signingKey }, rounds = ROUNDS) {
  const salt = newSalt();
  const by = await wrappingKey(passphrase, salt, rounds);
  return {
    salt,
    rounds,
    dataKey: await wrapped("raw", dataKey, by, `data-key/${userId}`),
    signingKey: signingKey && (await wrapped("pkcs8", signingKey, by, `signing-key/${userId}`)),
  };
}

/**
 * Open a lock.
 *
 * @param {string} userId
 * @param {string} passphrase
 * @param {PersonLock} lock
 * @param {boolean} [exportable] only to wrap the keys once more
 * @returns {Promise<OpenedLock>}
 * @throws {WrongPassphrase}
 */
export async function openLock(userId, passphrase, lock, exportable = false) {
  const by = await wrappingKey(passphrase, lock.salt, lock.rounds);
  const { dataKey: data, signingKey: signing } = lock;
  const { subtle } = crypto;
  try {
    const dataPlace = gcm(data.iv, `data-key/${userId}`);
    const dataKey = await subtle.unwrapKey("raw", data.bytes, by, dataPlace, AES, exportable, SEALING);
    if (!signing) return { dataKey, signingKey: null };
    const place = gcm(signing.iv, `signing-key/${userId}`);
    const signingKey = await subtle.unwrapKey("pkcs8", signing.bytes, by, place, ECDSA, exportable, ["sign"]);
    return { dataKey, signingKey };
  } catch (cause) {
    // AES-GCM answers a wrong key and changed bytes alike.
    if (/** @type {Error} */ (cause).name !== "OperationError") throw cause;
    throw new WrongPassphrase("That is not your passphrase.", { cause });
  }
}

/**
 * Return the same keys so that they cannot be exported any more.
 *
 * @template {CryptoKey | null} T
 * @param {{ dataKey: CryptoKey, signingKey: T }} keys exportable
 * @returns {Promise<{ dataKey: CryptoKey, signingKey: T }>}
 */
export async function fixedKeys({ dataKey, signingKey }) {
  const raw = await crypto.subtle.exportKey("raw", dataKey);
  return {
    dataKey: await crypto.subtle.importKey("raw", raw, AES, false, SEALING),
    signingKey: /** @type {T} */ (signingKey && (await fixedSigningKey(signingKey))),
  };
}

/** @param {CryptoKey} signingKey */
async function fixedSigningKey(signingKey) {
  const pkcs8 = await crypto.subtle.exportKey("pkcs8", signingKey);
  return crypto.subtle.importKey("pkcs8", pkcs8, ECDSA, false, ["sign"]);
}

/**
 * @param {"raw" | "pkcs8"} format
 * @param {CryptoKey} key
 * @param {CryptoKey} by
 * @param {string} place
 * @returns {Promise<Box>}
 */
async function wrapped(format, key, by, place) {
  const iv = newIv();
  const bytes = await crypto.subtle.wrapKey(format, key, by, gcm(iv, place));
  return { iv, bytes: new Uint8Array(bytes) };
}
