/**
 * The envelope: payload bytes, the key's id and the signature, as they travel and are kept; twin
 * of webapp/records/envelope.py. The payload bytes are carried, never made again to be verified.
 *
 * @typedef {import("./kinds.js").Payload} Payload
 * @typedef {{ p: string, kid: string, sig: string }} Envelope
 * @typedef {object} SignedRecord one opened record
 * @property {string} id
 * @property {Payload} payload
 * @property {Uint8Array<ArrayBuffer>} payloadBytes
 * @property {string} kid
 * @property {Uint8Array<ArrayBuffer>} signature
 */

import { fromBase64Url, hexSha256, toBase64Url } from "./bytes.js";
import { decode, encode } from "./canonical.js";
import { BadRecord } from "./errors.js";
import { checkPayload } from "./kinds.js";
import { sign, verify } from "./signing.js";

/**
 * The check code of what a person was shown: hex SHA-256 of its canonical bytes.
 * @param {unknown} shown
 */
export function digestOf(shown) {
  return hexSha256(encode(shown));
}

/**
 * Check canonical payload bytes whole and sign them.
 *
 * @param {Uint8Array<ArrayBuffer>} payloadBytes from `encode`
 * @param {string} kid the id of the key, which the payload names too
 * @param {CryptoKey} privateKey
 * @returns {Promise<{ id: string } & Envelope>}
 * @throws {BadRecord} the payload breaks a rule
 */
export async function seal(payloadBytes, kid, privateKey) {
  await read(payloadBytes, kid);
  const sig = toBase64Url(await sign(privateKey, payloadBytes));
  return { id: await hexSha256(payloadBytes), p: toBase64Url(payloadBytes), kid, sig };
}

/**
 * The record in an envelope: its signature under the key and every rule are checked.
 *
 * @param {unknown} envelope
 * @param {CryptoKey} publicKey the key that is known by the envelope's `kid`
 * @returns {Promise<SignedRecord>}
 * @throws {BadRecord} the envelope, the signature, the payload's form or what it says is wrong
 */
export async function openEnvelope(envelope, publicKey) {
  const { p, kid, sig } = exactEnvelope(envelope);
  const payloadBytes = fromBase64Url(p, "p");
  const signature = fromBase64Url(sig, "sig");
  await verify(publicKey, payloadBytes, signature);
  const payload = await read(payloadBytes, kid);
  return { id: await hexSha256(payloadBytes), payload, payloadBytes, kid: payload.key, signature };
}

/**
 * @param {unknown} envelope
 * @returns {Record<string, unknown>}
 */
function exactEnvelope(envelope) {
  const isObject = typeof envelope === "object" && envelope !== null && !Array.isArray(envelope);
  if (!isObject || Object.keys(envelope).sort().join() !== "kid,p,sig") {
    throw new BadRecord("envelope", "An envelope holds exactly p, kid and sig.");
  }
  return /** @type {Record<string, unknown>} */ (envelope);
}

/**
 * @param {Uint8Array} payloadBytes
 * @param {unknown} kid
 * @returns {Promise<Payload>}
 */
async function read(payloadBytes, kid) {
  const payload = checkPayload(decode(payloadBytes));
  if (payload.key !== kid) {
    throw new BadRecord("kid", "The record names another key than its envelope.");
  }
  const { body } = payload;
  if (Object.hasOwn(body, "shown") && body.digest !== (await digestOf(body.shown))) {
    throw new BadRecord("digest", "The check code does not belong to what was shown.");
  }
  return payload;
}
