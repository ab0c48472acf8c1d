/**
 * The closed list of record kinds: one table feeds forms, validation and documentation.
 *
 * A payload is checked whole: exact keys, who writes about whom, its place in the key's chain,
 * then its body. webapp/records/kinds.py is the twin.
 *
 * @typedef {import("./kinds_values.js").Field} Field
 * @typedef {import("./kinds_table.js").Kind} Kind
 * @typedef {import("./kinds_bodies.js").Payload} Payload
 */

import { BadRecord } from "./errors.js";
import { checkBody, checkKeys, checkPlain, isObject } from "./kinds_bodies.js";
import { kindNamed } from "./kinds_table.js";

export { checkBody, checkField } from "./kinds_bodies.js";
export { KINDS, kindNamed, maySign, SHAPES } from "./kinds_table.js";
export { isUnusual, parseField, rangeText, shownText } from "./kinds_values.js";

export const VERSION = 1;
export const HEADER = [
  ...["v", "kind", "person", "eye", "site", "author", "role"],
  ...["key", "seq", "prev", "wall", "replaces", "reason", "body"],
];
const REFERENCE_SITE = "all";
const NAME = /^[a-z0-9][a-z0-9-]{0,39}$/;

/**
 * The payload unchanged, if every rule but signature and chain holds.
 *
 * @param {unknown} payload
 * @returns {Payload}
 * @throws {BadRecord} with the field and a sentence for the person
 */
export function checkPayload(payload) {
  if (!isObject(payload)) throw new BadRecord("record", "A record must be an object.");
  checkKeys(payload, HEADER, "", "record");
  if (payload.v !== VERSION) {
    throw new BadRecord("v", "This record has another version. Load the newest app.");
  }
  const kind = kindNamed(payload.kind);
  checkSubject(kind, payload);
  checkAuthor(kind, payload);
  checkLink(payload);
  checkCorrection(kind, payload);
  checkBody(payload.kind, payload.body, payload);
  return payload;
}

/**
 * @param {Kind} kind
 * @param {Payload} payload
 */
function checkSubject(kind, payload) {
  const hasPerson = !["reference", "site"].includes(kind.subject);
  if (hasPerson !== (payload.person !== null)) {
    const which = hasPerson ? "one person" : "no person";
    throw new BadRecord("person", `This kind of record must be about ${which}.`);
  }
  if (hasPerson) checkPlain("person", header("uuid", "Person"), payload.person);
  const eyes = { eye: ["R", "L"], either: ["R", "L", null] }[kind.subject] ?? [null];
  if (!eyes.includes(payload.eye)) {
    const which = kind.subject === "eye" ? "must name one eye" : "names no such eye";
    throw new BadRecord("eye", `This kind of record ${which}.`);
  }
}

/**
 * @param {Kind} kind
 * @param {Payload} payload
 */
function checkAuthor(kind, payload) {
  for (const name of ["site", "author"]) {
    if (typeof payload[name] !== "string" || !NAME.test(payload[name])) {
      throw new BadRecord(name, `The record's ${name} is not a known form of name.`);
    }
  }
  if ((payload.site === REFERENCE_SITE) !== (kind.subject === "reference")) {
    throw new BadRecord("site", "This kind of record does not belong to this site.");
  }
  if (!kind.roles.includes(payload.role)) {
    throw new BadRecord("role", `${kind.title} may be written by: ${kind.roles.join(", ")}.`);
  }
}

/**
 * Check the key, the place in the key's chain, and the device's clock time.
 * @param {Payload} payload
 */
function checkLink(payload) {
  checkPlain("key", header("id", "Key"), payload.key);
  if (!Number.isSafeInteger(payload.seq) || payload.seq < 1) {
    throw new BadRecord("seq", "The number in the chain must be 1 or more.");
  }
  if ((payload.seq === 1) !== (payload.prev === null)) {
    throw new BadRecord("prev", "The first record of a key follows none; each other follows one.");
  }
  if (payload.prev !== null) checkPlain("prev", header("id", "Previous record"), payload.prev);
  checkPlain("wall", header("instant", "Clock time"), payload.wall);
}

/**
 * @param {Kind} kind
 * @param {Payload} payload
 */
function checkCorrection(kind, payload) {
  const { replaces, reason } = payload;
  if (replaces !== null) {
    if (kind.replaceable !== 1) {
      throw new BadRecord("replaces", "This kind of record can't replace another.");
    }
    checkPlain("replaces", header("id", "Replaced record"), replaces);
  }
  if (replaces === null && kind.reason !== 1) {
    if (reason !== null) {
      throw new BadRecord("reason", "A reason belongs to a correction. Leave it out here.");
    }
  } else if (reason === null) {
    throw new BadRecord("reason", "Write the reason. It stays with the record.");
  } else {
    checkPlain("reason", { ...header("text", "The reason"), max_chars: 500, lines: 1 }, reason);
  }
}

/**
 * @param {string} type
 * @param {string} label
 * @returns {Field}
 */
function header(type, label) {
  return { type, label, required: 1 };
}
