/**
 * Checks of one value against its field in kinds.json; twin of webapp/records/kinds_values.py.
 *
 * Each check gives the sentence of what is wrong and what to do, or null. Nothing is repaired.
 *
 * @typedef {object} Field one field of a kind, as it stands in kinds.json
 * @property {string} type int, text, choice, date, instant, id, uuid, list, object, map or typed
 * @property {string} label plain English, for forms
 * @property {number} required 0 where null may stand
 * @property {number} [absent] 1 where older records lack it, which means null
 * @property {string} [doc]
 * @property {string} [needs] when an optional field is needed
 * @property {string} [unit] as shown
 * @property {number} [scale] recorded units per shown unit
 * @property {number} [shown_decimals]
 * @property {number} [step] recorded units
 * @property {number} [pad_step] recorded units of the keypad's own step
 * @property {number} [min]
 * @property {number} [max]
 * @property {number} [unusual_min]
 * @property {number} [unusual_max]
 * @property {string} [unusual_from] where the usual range comes from
 * @property {number} [signed] 1 where plus or minus must be said
 * @property {number} [zero_means] what a typed 0 is recorded as
 * @property {string[][]} [choices] value and label
 * @property {number} [max_chars]
 * @property {string} [ascii_since] printable ASCII alone, in records from this day on
 * @property {number} [lines] 1 where line breaks may stand
 * @property {string} [shape] name of the shape of an object
 * @property {Field} [items] of a list
 * @property {Field} [of] of a map
 * @property {number} [min_items]
 * @property {number} [max_items]
 * @property {number} [sorted]
 *
 * @typedef {Field & { unit: string, scale: number, shown_decimals: number, step: number,
 *   min: number, max: number, signed: number }} NumberField
 */

import { BadRecord } from "./errors.js";
import { hasSign, parseScaled, shownNumber } from "./numbers.js";

// What would hide or reorder text on a screen or a printed order: control characters, direction
// marks and overrides, fillers that take no room. The joiners U+200C and U+200D spell names.
const UNSHOWABLE =
  /[\p{Cc}\u00ad\u115f\u1160\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\u3164\ufeff\uffa0\u{e0000}-\u{e0fff}]/u;
const NOT_ASCII = /[^ -~]/u;
const DATE = /^([0-9]{4})-([0-9]{2})-([0-9]{2})$/;
const INSTANT =
  /^([0-9]{4}-[0-9]{2}-[0-9]{2})T([0-9]{2}):([0-9]{2}):([0-9]{2})(?:\.[0-9]{3})?(?:Z|[+-]([0-9]{2}):([0-9]{2}))$/;
const ID = /^[0-9a-f]{64}$/;
const UUID7 = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;
const MONTH_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/**
 * A recorded number as text with its unit, such as "\u221212.25 D".
 * @param {Field} field
 * @param {number} value
 */
export function shownText(field, value) {
  return bare(field, value) + unitText(field);
}

/**
 * The limits of a number as a phrase: "Sphere goes from \u221235.00 to +20.00 D".
 * @param {Field} field
 */
export function rangeText(field) {
  const { label, min, max } = asNumberField(field);
  return `${label} goes from ${bare(field, min)} to ${bare(field, max)}${unitText(field)}`;
}

/**
 * Whether a possible number is outside what is usual, so worth a second look.
 * @param {Field} field
 * @param {number} value
 */
export function isUnusual(field, value) {
  const { min, max } = asNumberField(field);
  return value < (field.unusual_min ?? min) || value > (field.unusual_max ?? max);
}

/**
 * The whole number that a typed text records in a field.
 *
 * @param {string} name
 * @param {Field} field
 * @param {string} text
 * @returns {number}
 * @throws {BadRecord} not a number, without its sign where plus and minus must be said, finer than
 *   the step, or out of the field's range
 */
export function parseField(name, field, text) {
  const { scale, shown_decimals: decimals, step, signed, label } = asNumberField(field);
  let value = parseScaled(text, scale, decimals, step, name);
  if (signed === 1 && value !== 0 && !hasSign(text)) {
    throw new BadRecord(name, `${label} needs its sign. Say plus or minus.`);
  }
  // Axis 0 and 180 are one direction, recorded as 180.
  if (value === 0) value = field.zero_means ?? 0;
  const problem = intProblem(field, value);
  if (problem !== null) throw new BadRecord(name, problem);
  return value;
}

/**
 * A field's label as part of a sentence; a question stands in quotation marks.
 * @param {Field} field
 */
export function named({ label }) {
  return label.endsWith("?") ? `\u201c${label}\u201d` : label;
}

/**
 * What is wrong with one value of a plain type (not a list, object or map), or null.
 * @param {Field} field
 * @param {unknown} value
 * @returns {string | null}
 */
export function valueProblem(field, value) {
  return CHECKS[field.type](field, value);
}

/**
 * Which character of a number on a label is not printable ASCII, or null.
 *
 * Letters of other scripts, or of full width, look alike and are other numbers. A record whose own
 * clock is of before the day on which this was asked stays as it was written.
 *
 * @param {Field} field
 * @param {unknown} value
 * @param {string} [wall] the record's clock; none for a form that is being filled
 */
export function lettersProblem({ ascii_since: since, label }, value, wall) {
  if (since === undefined || typeof value !== "string" || (wall && wall.slice(0, 10) < since)) return null;
  const strange = NOT_ASCII.exec(value);
  if (strange === null) return null;
  return `${label}: \u201c${strange[0]}\u201d is none of the letters A to Z, digits and signs of an English keyboard, though it may look like one. Type it with such a keyboard.`;
}

/** @typedef {(field: Field, value: unknown) => string | null} Check */

/** @type {Check} */
function intProblem(field, value) {
  const { label, min, max, step } = asNumberField(field);
  if (typeof value !== "number" || !Number.isInteger(value) || Object.is(value, -0)) {
    return `${label} must be a whole number as recorded.`;
  }
  if (value < min || value > max) {
    return `${rangeText(field)}. Check the value and give it again.`;
  }
  if (value % step !== 0) return `${label} goes in steps of ${bare(field, step)}${unitText(field)}.`;
  return null;
}

/** @type {Check} */
function textProblem(field, value) {
  const { label, max_chars: maxChars = 0 } = field;
  if (typeof value !== "string") return `${label} must be text.`;
  const oneLine = field.lines === 1 ? value.replaceAll("\n", "") : value;
  if (value.trim() === "") return `${label} is still empty.`;
  if (UNSHOWABLE.test(oneLine)) {
    return `${label} holds a character that can't be shown. Type it again.`;
  }
  if (value.trim() !== value) return `${label} begins or ends with a space. Remove it.`;
  if (/\p{Surrogate}/u.test(value)) return `${label} holds half a character. Type it again.`;
  if (value.normalize("NFC") !== value) return `${label} is not in Unicode's composed form (NFC).`;
  if ([...value].length > maxChars) return `${label} is longer than ${maxChars} characters.`;
  return null;
}

/** @type {Check} */
function choiceProblem(field, value) {
  const choices = field.choices ?? [];
  if (choices.some(([choice]) => choice === value)) return null;
  return `Choose one for ${named(field)}: ${choices.map(([, label]) => label).join(", ")}.`;
}

/** @type {Check} */
function dateProblem(field, value) {
  if (typeof value === "string" && isDate(value)) return null;
  return `${field.label} is not a date of the calendar. Give year, month and day.`;
}

/** @type {Check} */
function instantProblem(field, value) {
  const match = typeof value === "string" ? INSTANT.exec(value) : null;
  if (match !== null && isDate(match[1])) {
    const [hour, minute, second] = match.slice(2, 5).map(Number);
    const [offsetHour, offsetMinute] = match.slice(5, 7).map((digits) => Number(digits ?? 0));
    // No place on earth is more than 14 hours from UTC.
    const isClock = hour < 24 && minute < 60 && second < 60;
    if (isClock && offsetHour < 15 && offsetMinute < 60) return null;
  }
  return `${field.label} is not a date and time with its time zone.`;
}

/** @type {Check} */
function idProblem(field, value) {
  if (typeof value === "string" && ID.test(value)) return null;
  return `${field.label} is not an id of 64 hexadecimal digits.`;
}

/** @type {Check} */
function uuidProblem(field, value) {
  if (typeof value === "string" && UUID7.test(value)) return null;
  return `${field.label} is not a UUID of version 7 in lower case.`;
}

/** @param {string} text */
function isDate(text) {
  const match = DATE.exec(text);
  if (match === null) return false;
  const [year, month, day] = match.slice(1).map(Number);
  if (year < 1900 || year > 2100 || month < 1 || month > 12) return false;
  const isLeap = month === 2 && year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  return day >= 1 && day <= MONTH_DAYS[month - 1] + (isLeap ? 1 : 0);
}

/**
 * @param {Field} field
 * @param {number} value
 */
function bare(field, value) {
  const { scale, shown_decimals: decimals, signed } = asNumberField(field);
  return shownNumber(value, scale, decimals, signed === 1);
}

/** @param {Field} field */
function unitText(field) {
  const { unit } = asNumberField(field);
  return ["", "\u00b0", "%"].includes(unit) ? unit : ` ${unit}`;
}

/**
 * @param {Field} field
 * @returns {NumberField}
 */
function asNumberField(field) {
  if (field.type !== "int") throw new TypeError(`${field.label} is not a number`);
  return /** @type {NumberField} */ (field);
}

/** @type {Readonly<Record<string, Check>>} */
const CHECKS = {
  int: intProblem,
  text: textProblem,
  choice: choiceProblem,
  date: dateProblem,
  instant: instantProblem,
  id: idProblem,
  uuid: uuidProblem,
};
