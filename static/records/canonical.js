/**
 * Canonical JSON (RFC 8785) of whole numbers, text, null, lists and objects; twin of
 * webapp/records/canonical.py. The decoder takes exactly what the encoder writes.
 *
 * @typedef {null | number | string | JsonValue[] | { [key: string]: JsonValue }} JsonValue
 */

import { BadRecord } from "./errors.js";

export const MAX_BYTES = 64 * 1024;
export const MAX_DEPTH = 8;

const WHERE = "record";

/**
 * The canonical UTF-8 bytes of a value.
 *
 * @param {unknown} value
 * @returns {Uint8Array<ArrayBuffer>}
 * @throws {BadRecord} it holds anything but text in NFC, whole numbers up to 2^53-1, null, lists
 *   and objects, is nested deeper than 8, or is longer than 64 KiB
 */
export function encode(value) {
  const data = new TextEncoder().encode(written(value, 1));
  if (data.length > MAX_BYTES) {
    throw new BadRecord(WHERE, "The record is longer than 64 KiB. Shorten its texts.");
  }
  return data;
}

/**
 * The value of canonical bytes.
 *
 * @param {Uint8Array} data
 * @returns {JsonValue}
 * @throws {BadRecord} the bytes are not exactly what `encode` would write
 */
export function decode(data) {
  if (data.length > MAX_BYTES) throw new BadRecord(WHERE, "The record is longer than 64 KiB.");
  const value = parsed(data);
  // A duplicate key, a fraction such as 1.0, a space or another order is lost in `value`, so the
  // bytes made from it differ from those read.
  if (!sameBytes(encode(value), data)) {
    throw new BadRecord(WHERE, "The record is not in its one canonical form.");
  }
  return value;
}

/**
 * @param {Uint8Array} data
 * @returns {JsonValue}
 */
function parsed(data) {
  try {
    // ignoreBOM keeps a byte order mark, which JSON.parse then refuses.
    return JSON.parse(new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(data));
  } catch {
    throw new BadRecord(WHERE, "The record is not canonical JSON.");
  }
}

/**
 * @param {unknown} value
 * @param {number} depth
 * @returns {string}
 */
function written(value, depth) {
  if (value === null) return "null";
  if (typeof value === "string") return writtenText(value);
  if (typeof value === "number") return writtenInteger(value);
  if (Array.isArray(value) || isPlainObject(value)) {
    if (depth > MAX_DEPTH) throw new BadRecord(WHERE, "The record is nested deeper than 8 levels.");
    return Array.isArray(value) ? writtenList(value, depth) : writtenObject(value, depth);
  }
  throw new BadRecord(WHERE, "Only text, whole numbers, null, lists and objects are recorded.");
}

/**
 * @param {unknown[]} list
 * @param {number} depth
 */
function writtenList(list, depth) {
  // Array.from fills holes with undefined, which is then refused.
  return `[${Array.from(list, (item) => written(item, depth + 1)).join(",")}]`;
}

/**
 * @param {Record<string, unknown>} object
 * @param {number} depth
 */
function writtenObject(object, depth) {
  // The default sort compares UTF-16 units, which is the order that RFC 8785 asks for.
  const keys = Object.keys(object).sort();
  return `{${keys.map((key) => `${writtenText(key)}:${written(object[key], depth + 1)}`).join(",")}}`;
}

/** @param {number} value */
function writtenInteger(value) {
  if (!Number.isInteger(value) || Object.is(value, -0)) {
    throw new BadRecord(WHERE, "Only whole numbers may be recorded.");
  }
  if (!Number.isSafeInteger(value)) {
    throw new BadRecord(WHERE, "A whole number is larger than 2^53-1.");
  }
  return String(value);
}

/** @param {string} text */
function writtenText(text) {
  if (/\p{Surrogate}/u.test(text)) {
    throw new BadRecord(WHERE, "A text holds half a character (a lone surrogate).");
  }
  if (text.normalize("NFC") !== text) {
    throw new BadRecord(WHERE, "A text is not in Unicode's composed form (NFC).");
  }
  // For well-formed text JSON.stringify writes exactly the escapes of RFC 8785, 3.2.2.2.
  return JSON.stringify(text);
}

/**
 * @param {unknown} value
 * @returns {value is Record<string, unknown>}
 */
function isPlainObject(value) {
  if (typeof value !== "object" || value === null) return false;
  const prototype = Object.getPrototypeOf(value);
  return prototype === Object.prototype || prototype === null;
}

/**
 * @param {Uint8Array} a
 * @param {Uint8Array} b
 */
function sameBytes(a, b) {
  return a.length === b.length && a.every((byte, index) => byte === b[index]);
}
