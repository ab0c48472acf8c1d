/** Bytes as text and back: base64url without padding (RFC 4648, 5), and SHA-256 as hex. */

import { BadRecord } from "./errors.js";

const BASE64URL = /^[A-Za-z0-9_-]*$/;

/**
 * Bytes as base64url text.
 * @param {Uint8Array} bytes
 */
export function toBase64Url(bytes) {
  const binary = Array.from(bytes, (byte) => String.fromCharCode(byte)).join("");
  return btoa(binary).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/**
 * The bytes of base64url text, which must be the one text for them.
 *
 * @param {unknown} text
 * @param {string} [field] for the error
 * @throws {BadRecord} not text, a strange character, padding, or spare bits that are set
 */
export function fromBase64Url(text, field = "base64url") {
  if (typeof text !== "string" || !BASE64URL.test(text) || text.length % 4 === 1) {
    throw new BadRecord(field, "This is not base64url text without padding.");
  }
  const binary = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
  const bytes = Uint8Array.from(binary, (character) => character.charCodeAt(0));
  if (toBase64Url(bytes) !== text) {
    throw new BadRecord(field, "This is not the standard base64url text of its bytes.");
  }
  return bytes;
}

/**
 * Lower-case hex SHA-256.
 * @param {Uint8Array<ArrayBuffer>} bytes
 */
export async function hexSha256(bytes) {
  const hash = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(hash, (byte) => byte.toString(16).padStart(2, "0")).join("");
}
