/**
 * Checks of a record's body: exact keys, each field, then the rules between fields.
 *
 * @typedef {import("./kinds_values.js").Field} Field
 * @typedef {import("./kinds_table.js").Kind} Kind
 * @typedef {Record<string, any>} Payload
 */

import { BadRecord } from "./errors.js";
import { RULES } from "./kinds_rules.js";
import { KINDS, SHAPES } from "./kinds_table.js";
import { lettersProblem, named, parseField, valueProblem } from "./kinds_values.js";

const LIMIT_NAME = /^[A-Za-z][A-Za-z0-9_]{0,59}$/;

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
  // A field that came later may be absent from older records, which then means null.
  const known = Object.keys(fields).filter(
    (name) => Object.hasOwn(values, name) || fields[name]?.absent !== 1,
  );
  checkKeys(values, known, path, "form");
  for (const [name, field] of Object.entries(fields)) {
    const value = Object.hasOwn(values, name) ? values[name] : null;
    if (value !== null) checkValue(path + name, field, value, values, payload);
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
  else checkPlain(path, field, value, payload.wall);
}

/**
 * Refuse a value that its field's type, range, step or letters do not allow.
 * @param {string} path
 * @param {Field} field
 * @param {unknown} value
 * @param {string} [wall] the record's clock; none for a form that is being filled
 */
export function checkPlain(path, field, value, wall) {
  const problem = valueProblem(field, value) ?? lettersProblem(field, value, wall);
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
 * Refuse an object that lacks a named field or has another one.
 * @param {Payload} values
 * @param {string[]} wanted
 * @param {string} path
 * @param {string} whole
 */
export function checkKeys(values, wanted, path, whole) {
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
 * Whether a value is an object with named fields.
 * @param {unknown} value
 * @returns {value is Payload}
 */
export function isObject(value) {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
