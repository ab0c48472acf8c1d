/**
 * The closed list of record kinds, read from kinds.json; twin of webapp/records/kinds.py.
 *
 * One table feeds forms, validation on phone and server, and the documentation. A payload is
 * checked whole: exact keys, types, ranges, roles, subject, then the rules between fields.
 *
 * @typedef {import("./kinds_values.js").Field} Field
 * @typedef {Record<string, any>} Payload
 *
 * @typedef {object} Kind one kind of record, as it stands in kinds.json
 * @property {string} title
 * @property {string} subject person, eye, either or reference
 * @property {string[]} roles
 * @property {string} signed_by device, desk or either
 * @property {Record<string, Field>} fields
 * @property {string[]} rules
 * @property {string} [quantity_label] of a reading
 * @property {number} [optional] 1 for a reading that a plan can do without
 * @property {string} [unique]
 * @property {number} [replaceable]
 * @property {number} [reason] 1 where each record of the kind gives a reason
 *
 * @typedef {{ title: string, fields: Record<string, Field>, rules: string[] }} Shape
 */

import table from "../../webapp/records/kinds.json" with { type: "json" };
import { BadRecord } from "./errors.js";
import { RULES } from "./kinds_rules.js";
import { named, parseField, valueProblem } from "./kinds_values.js";

export { isUnusual, parseField, rangeText, shownText } from "./kinds_values.js";

export const VERSION = 1;
export const HEADER = [
  ...["v", "kind", "person", "eye", "site", "author", "role"],
  ...["key", "seq", "prev", "wall", "replaces", "reason", "body"],
];
const REFERENCE_SITE = "all";
const NAME = /^[a-z0-9][a-z0-9-]{0,39}$/;
const LIMIT_NAME = /^[A-Za-z][A-Za-z0-9_]{0,59}$/;

/** @type {Readonly<Record<string, Kind>>} */
export const KINDS = Object.freeze(/** @type {any} */ (table.kinds));
/** @type {Readonly<Record<string, Shape>>} */
export const SHAPES = Object.freeze(/** @type {any} */ (table.shapes));

/**
 * The kind of a name.
 *
 * @param {unknown} name
 * @returns {Kind}
 * @throws {BadRecord} the name is not in the closed list
 */
export function kindNamed(name) {
  if (typeof name === "string" && Object.hasOwn(KINDS, name)) return KINDS[name];
  throw new BadRecord("kind", "This kind of record is not known here. Load the newest app.");
}

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
 * Check the body of a kind; `payload` gives the kind, person and eye that the body may repeat.
 *
 * @param {string} kindName
 * @param {unknown} body
 * @param {Payload} payload
 * @throws {BadRecord} `field` is the path inside the body
 */
export function checkBody(kindName, body, payload) {
  const { fields, rules } = KINDS[kindName];
  checkObject(fields, rules, body, { ...payload, kind: kindName }, "");
}

/**
 * Check one value of a body alone, for a form that is being filled.
 *
 * @param {string} kindName
 * @param {string} name
 * @param {unknown} value
 * @throws {BadRecord} the value may not stand in that field
 */
export function checkField(kindName, name, value) {
  const field = KINDS[kindName].fields[name];
  if (value !== null) checkValue(name, field, value, {}, { kind: kindName });
  else if (field.required === 1) throw new BadRecord(name, `${named(field)} is still missing.`);
}

/**
 * Whether a "device" or the "desk" key may sign records of a kind.
 * @param {string} kindName
 * @param {"device" | "desk"} signer
 */
export function maySign(kindName, signer) {
  return [signer, "either"].includes(KINDS[kindName].signed_by);
}

/**
 * @param {Kind} kind
 * @param {Payload} payload
 */
function checkSubject(kind, payload) {
  const isReference = kind.subject === "reference";
  if (isReference !== (payload.person === null)) {
    const which = isReference ? "no person" : "one person";
    throw new BadRecord("person", `This kind of record must be about ${which}.`);
  }
  if (!isReference) checkPlain("person", header("uuid", "Person"), payload.person);
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
 * @param {Record<string, Field>} fields
 * @param {string[]} rules
 * @param {unknown} values
 * @param {Payload} payload
 * @param {string} path
 */
function checkObject(fields, rules, values, payload, path) {
  if (!isObject(values)) {
    const where = path.replace(/\.$/, "") || "body";
    throw new BadRecord(where, "This must be an object with named fields.");
  }
  checkKeys(values, Object.keys(fields), path, "form");
  for (const [name, field] of Object.entries(fields)) {
    if (values[name] !== null) checkValue(path + name, field, values[name], values, payload);
    else if (field.required === 1) {
      throw new BadRecord(path + name, `${named(field)} is still missing.`);
    }
  }
  for (const rule of rules) {
    const problem = RULES[rule](values, payload);
    if (problem !== null) throw new BadRecord(path + problem[0], problem[1]);
  }
}

/**
 * @param {string} path
 * @param {Field} field
 * @param {unknown} value
 * @param {Payload} siblings
 * @param {Payload} payload
 */
function checkValue(path, field, value, siblings, payload) {
  if (field.type === "object") {
    const shape = SHAPES[field.shape ?? ""];
    checkObject(shape.fields, shape.rules, value, payload, `${path}.`);
  } else if (field.type === "list") checkList(path, field, value, payload);
  else if (field.type === "map") checkMap(path, field, value);
  else if (field.type === "typed") checkTyped(path, value, siblings, KINDS[payload.kind]);
  else checkPlain(path, field, value);
}

/**
 * @param {string} path
 * @param {Field} field
 * @param {unknown} value
 */
function checkPlain(path, field, value) {
  const problem = valueProblem(field, value);
  if (problem !== null) throw new BadRecord(path, problem);
}

/**
 * @param {string} path
 * @param {Field} field
 * @param {unknown} value
 * @param {Payload} payload
 */
function checkList(path, field, value, payload) {
  const { label, items, min_items: low = 0, max_items: high = 0 } = field;
  if (!Array.isArray(value) || value.length < low || value.length > high) {
    throw new BadRecord(path, `${label} must be a list of ${low} to ${high}.`);
  }
  value.forEach((item, index) => {
    checkValue(`${path}.${index}`, /** @type {Field} */ (items), item, {}, payload);
  });
  if (field.sorted === 1 && value.some((item, index) => index > 0 && value[index - 1] >= item)) {
    throw new BadRecord(path, `${label} must be in ascending order, each once.`);
  }
}

/**
 * @param {string} path
 * @param {Field} field
 * @param {unknown} value
 */
function checkMap(path, field, value) {
  const { label, of, max_items: high = 0 } = field;
  if (!isObject(value) || Object.keys(value).length > high) {
    throw new BadRecord(path, `${label}: at most ${high} named values.`);
  }
  for (const [name, item] of Object.entries(value)) {
    if (!LIMIT_NAME.test(name)) {
      throw new BadRecord(path, `${label} holds a name with characters not used here.`);
    }
    checkPlain(`${path}.${name}`, /** @type {Field} */ (of), item);
  }
}

/**
 * What was typed must mean the number that is recorded beside it.
 * @param {string} path
 * @param {unknown} value
 * @param {Payload} body
 * @param {Kind} kind
 */
function checkTyped(path, value, body, kind) {
  if (!isObject(value)) throw new BadRecord(path, "What was typed must be named texts.");
  for (const [name, text] of Object.entries(value)) {
    const field = Object.hasOwn(kind.fields, name) ? kind.fields[name] : null;
    if (field?.type !== "int" || typeof text !== "string") {
      throw new BadRecord(`${path}.${name}`, "What was typed must belong to a number of the form.");
    }
    if (parseField(`${path}.${name}`, field, text) !== body[name]) {
      throw new BadRecord(`${path}.${name}`, "What was typed and what is recorded differ.");
    }
  }
}

/**
 * @param {Payload} values
 * @param {string[]} wanted
 * @param {string} path
 * @param {string} whole
 */
function checkKeys(values, wanted, path, whole) {
  const missing = wanted.find((name) => !Object.hasOwn(values, name));
  if (missing !== undefined) {
    throw new BadRecord(path + missing, `The ${whole} lacks the field ${missing}.`);
  }
  const extra = Object.keys(values).find((name) => !wanted.includes(name));
  if (extra !== undefined) {
    throw new BadRecord(path + extra, `The ${whole} has a field that does not belong to it.`);
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

/**
 * @param {unknown} value
 * @returns {value is Payload}
 */
function isObject(value) {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
