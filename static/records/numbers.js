/**
 * The one grammar of typed numbers and its way back to text; twin of webapp/records/numbers.py.
 *
 * Digits become a whole number of recorded units by integer arithmetic, so nothing is rounded.
 * parseFloat("12,5") is 12 and Number("") is 0: neither is used here.
 */

import { BadRecord } from "./errors.js";

export const MINUS = "\u2212";
// A sign, up to four digits, up to three decimals: no quantity of an eye needs more.
const GRAMMAR = /^([+-]?)([0-9]{1,4})(?:\.([0-9]{1,3}))?$/;

/**
 * Whether the text says plus or minus.
 * @param {string} text
 */
export function hasSign(text) {
  return ["+", "-", MINUS].includes(text.slice(0, 1));
}

/**
 * The whole number of recorded units that a typed text means, exactly.
 *
 * @param {string} text as typed, such as "-12.25"; the true minus U+2212 is a minus too
 * @param {number} scale recorded units per shown unit, a power of ten
 * @param {number} decimals decimals that the quantity is shown with; more are refused
 * @param {number} step recorded units of the finest step that is allowed
 * @param {string} [field] name of the field, for the error
 * @returns {number}
 * @throws {BadRecord} the text is not in the grammar, or is finer than the step
 */
export function parseScaled(text, scale, decimals, step, field = "number") {
  const match = GRAMMAR.exec(text.replaceAll(MINUS, "-"));
  if (match === null) {
    const example = decimals > 0 ? "12.25".slice(0, 3 + decimals) : "12";
    throw new BadRecord(field, `This is not a number here. Type digits, such as ${example}.`);
  }
  const [, sign, whole, fraction = ""] = match;
  if (fraction.length > decimals) throw new BadRecord(field, tooFine(scale, decimals, step));
  const shift = 10 ** decimals;
  const digits = Number(whole) * shift + Number(fraction.padEnd(decimals, "0"));
  const value = digits * (scale / shift);
  if (value % step !== 0) throw new BadRecord(field, tooFine(scale, decimals, step));
  // 0 - value: a minus before zero must not become JavaScript's negative zero.
  return sign === "-" ? 0 - value : value;
}

/**
 * A recorded whole number as text in shown units, with U+2212 for minus.
 *
 * @param {number} value recorded units
 * @param {number} scale recorded units per shown unit, a power of ten
 * @param {number} decimals at least this many; more where the value would otherwise be cut
 * @param {boolean} [signed] whether a plus is written too (zero has no sign)
 * @returns {string}
 */
export function shownNumber(value, scale, decimals, signed = false) {
  const places = String(scale).length - 1;
  const size = Math.abs(value);
  let fraction = places > 0 ? String(size % scale).padStart(places, "0") : "";
  while (fraction.length > decimals && fraction.endsWith("0")) fraction = fraction.slice(0, -1);
  fraction = fraction.padEnd(decimals, "0");
  const whole = String((size - (size % scale)) / scale);
  const sign = value < 0 ? MINUS : signed && value > 0 ? "+" : "";
  return fraction === "" ? `${sign}${whole}` : `${sign}${whole}.${fraction}`;
}

/**
 * A serial number as it is compared: letter case and spaces of ASCII make no other lens.
 * @param {string} text
 */
export const serialKey = (text) => text.replaceAll(" ", "").replace(/[a-z]/g, (one) => one.toUpperCase());

/**
 * @param {number} scale
 * @param {number} decimals
 * @param {number} step
 */
function tooFine(scale, decimals, step) {
  const finest = shownNumber(step, scale, decimals);
  return `Finer than this quantity is recorded: the smallest step is ${finest}.`;
}
