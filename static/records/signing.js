/**
 * P-256 keys and signatures by WebCrypto; twin of webapp/records/signing.py.
 *
 * One algorithm, ECDSA P-256 with SHA-256, and no field that names it: nothing to negotiate.
 * A private key in use can't be exported; it only signs.
 */

import { BadRecord } from "./errors.js";

// Signed before the payload, so that a signature made for anything else is never one of a record.
const DOMAIN = new TextEncoder().encode("lampside-record/1\n");
const KEY = { name: "ECDSA", namedCurve: "P-256" };
const SIGNATURE = { name: "ECDSA", hash: "SHA-256" };
export const SIGNATURE_BYTES = 64; // r then s, 32 bytes each

/**
 * A new key pair for one person on one device, with its public bytes and id.
 * @returns {Promise<{ privateKey: CryptoKey, spki: Uint8Array<ArrayBuffer>, kid: string }>}
 */
export function newKey() {
  return keyPair(false);
}

/** As `newKey`, but the private key can be exported, to be wrapped for the disk. */
export function newExportableKey() {
  return keyPair(true);
}

/** @param {boolean} exportable */
async function keyPair(exportable) {
  const pair = await crypto.subtle.generateKey(KEY, exportable, ["sign", "verify"]);
  const spki = new Uint8Array(await crypto.subtle.exportKey("spki", pair.publicKey));
  return { privateKey: pair.privateKey, spki, kid: await keyId(spki) };
}

/**
 * The id of a public key: lower-case hex SHA-256 of its SPKI DER bytes.
 * @param {Uint8Array<ArrayBuffer>} spki
 */
export function keyId(spki) {
  return sha256Hex(spki);
}

/**
 * Lower-case hex SHA-256.
 * @param {Uint8Array<ArrayBuffer>} data
 */
export async function sha256Hex(data) {
  const hash = new Uint8Array(await crypto.subtle.digest("SHA-256", data));
  return Array.from(hash, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * The 64-byte signature (r then s) over a record's payload bytes.
 *
 * @param {CryptoKey} privateKey
 * @param {Uint8Array} payloadBytes
 */
export async function sign(privateKey, payloadBytes) {
  return new Uint8Array(await crypto.subtle.sign(SIGNATURE, privateKey, signedBytes(payloadBytes)));
}

/**
 * Accept a signature over a record's payload bytes, or refuse it.
 *
 * @param {Uint8Array<ArrayBuffer>} spki public key, SPKI DER
 * @param {Uint8Array} payloadBytes exactly as received
 * @param {Uint8Array<ArrayBuffer>} signature
 * @throws {BadRecord} the key, the length or the signature is wrong
 */
export async function verify(spki, payloadBytes, signature) {
  const key = await loadPublicKey(spki);
  if (signature.length !== SIGNATURE_BYTES) {
    throw new BadRecord("sig", "The signature is not 64 bytes long.");
  }
  if (!(await crypto.subtle.verify(SIGNATURE, key, signature, signedBytes(payloadBytes)))) {
    throw new BadRecord("sig", "The signature does not match the record.");
  }
}

/**
 * The public key in SPKI DER bytes.
 *
 * @param {Uint8Array<ArrayBuffer>} spki
 * @returns {Promise<CryptoKey>}
 * @throws {BadRecord} not a P-256 key in its one standard encoding
 */
export async function loadPublicKey(spki) {
  const key = await crypto.subtle.importKey("spki", spki, KEY, true, ["verify"]).catch(() => {
    throw new BadRecord("spki", "Only P-256 keys are accepted.");
  });
  const standard = new Uint8Array(await crypto.subtle.exportKey("spki", key));
  if (standard.length !== spki.length || standard.some((byte, index) => byte !== spki[index])) {
    // Another encoding of the same point would give one key two ids.
    throw new BadRecord("spki", "The public key is not in its one standard encoding.");
  }
  return key;
}

/** @param {Uint8Array} payloadBytes */
function signedBytes(payloadBytes) {
  const bytes = new Uint8Array(DOMAIN.length + payloadBytes.length);
  bytes.set(DOMAIN);
  bytes.set(payloadBytes, DOMAIN.length);
  return bytes;
}
