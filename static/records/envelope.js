/**
 * The envelope: payload bytes, the key's id and the signature, as they travel and are kept; twin
 * of webapp/records/envelope.py. The payload bytes are carried, never made again to be verified.
 *
 * @typedef {{ p: string, kid: string, sig: string }} Envelope
 * @typedef {object} SignedRecord one opened record
 * @property {string} id
 * @property {import("./kinds.js").Payload} payload
 * @property {Uint8Array<ArrayBuffer>} payloadBytes
 * @property {string} kid
 * @property {Uint8Array<ArrayBuffer>} signature
 */

import { decode, encode } from "./canonical.js";
import { BadRecord } from "./errors.js";
import { checkBody, checkPayload } from "./kinds.js";
import { keyId, sha256Hex, sign, verify } from "./signing.js";

const ID = /^[0-9a-f]{64}$/;
const BASE64URL = /^[A-Za-z0-9_-]*$/;

/**
 * The check code of what a person was shown: hex SHA-256 of its canonical bytes.
 * @param {unknown} shown
 */
export function digestOf(shown) {
  return sha256Hex(encode(shown));
}

/**
 * Check, canonicalise and sign a payload.
 *
 * @param {import("./kinds.js").Payload} payload
 * @param {CryptoKey} privateKey the key that `payload.key` names
 * @returns {Promise<{ id: string, payloadBytes: Uint8Array<ArrayBuffer>, envelope: Envelope }>}
 * @throws {BadRecord} the payload breaks a rule
 */
export async function seal(payload, privateKey) {
  const payloadBytes = encode(payload);
  await readPayload(payloadBytes);
  // What is written now is no older record, however far back this clock is set.
  checkBody(payload.kind, payload.body, { ...payload, wall: null });
  const signature = await sign(privateKey, payloadBytes);
  const envelope = { p: toBase64url(payloadBytes), kid: payload.key, sig: toBase64url(signature) };
  return { id: await sha256Hex(payloadBytes), payloadBytes, envelope };
}

/**
 * The record in an envelope, with every rule checked but the signature: whoever knows the key
 * calls `verifyRecord` next.
 *
 * @param {unknown} envelope
 * @returns {Promise<SignedRecord>}
 * @throws {BadRecord} the envelope, the payload's form or what it says is wrong
 */
export async function openEnvelope(envelope) {
  const { p, kid, sig } = exactEnvelope(envelope);
  const payloadBytes = fromBase64url(p, "p");
  const signature = fromBase64url(sig, "sig");
  if (typeof kid !== "string" || !ID.test(kid)) {
    throw new BadRecord("kid", "The key's id is not 64 hexadecimal digits.");
  }
  const payload = await readPayload(payloadBytes);
  if (payload.key !== kid) {
    throw new BadRecord("kid", "The record names another key than its envelope.");
  }
  return { id: await sha256Hex(payloadBytes), payload, payloadBytes, kid, signature };
}

/**
 * Accept the signature of an opened record under a public key (SPKI DER), or refuse it.
 *
 * @param {SignedRecord} record
 * @param {Uint8Array<ArrayBuffer>} spki
 * @throws {BadRecord} it is another key, or the signature does not match
 */
export async function verifyRecord(record, spki) {
  if ((await keyId(spki)) !== record.kid) {
    throw new BadRecord("kid", "The record was signed by another key.");
  }
  await verify(spki, record.payloadBytes, record.signature);
}

/**
 * Bytes as base64url text without padding (RFC 4648, 5).
 * @param {Uint8Array} bytes
 */
export function toBase64url(bytes) {
  const binary = Array.from(bytes, (byte) => String.fromCharCode(byte)).join("");
  return btoa(binary).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/**
 * The bytes of base64url text, which must be the one text for them.
 *
 * @param {unknown} text
 * @param {string} field
 * @throws {BadRecord} not text, a strange character, padding, or spare bits that are set
 */
export function fromBase64url(text, field) {
  if (typeof text !== "string" || !BASE64URL.test(text) || text.length % 4 === 1) {
    throw new BadRecord(field, "This is not base64url text without padding.");
  }
  const binary = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
  const bytes = Uint8Array.from(binary, (character) => character.charCodeAt(0));
  if (toBase64url(bytes) !== text) {
    throw new BadRecord(field, "This is not the standard base64url text of its bytes.");
  }
  return bytes;
}

/**
 * @param {unknown} envelope
 * @returns {Record<string, unknown>}
 */
function exactEnvelope(envelope) {
  const isRecord = typeof envelope === "object" && envelope !== null && !Array.isArray(envelope);
  if (!isRecord || Object.keys(envelope).sort().join() !== "kid,p,sig") {
    throw new BadRecord("envelope", "An envelope holds exactly p, kid and sig.");
  }
  return /** @type {Record<string, unknown>} */ (envelope);
}

/**
 * @param {Uint8Array} payloadBytes
 * @returns {Promise<import("./kinds.js").Payload>}
 */
async function readPayload(payloadBytes) {
  const payload = checkPayload(decode(payloadBytes));
  const { body } = payload;
  if (Object.hasOwn(body, "shown") && body.digest !== (await digestOf(body.shown))) {
    throw new BadRecord("digest", "The check code does not belong to what was shown.");
  }
  return payload;
}
