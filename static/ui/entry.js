/**
 * A number being typed on the signed keypad, as plain data: no sign, digit or point is assumed.
 *
 * The point is printed, not typed: how many digits stand before it follows from the field's range
 * (11.62 has two, 9.80 has one). Nothing is repaired, clamped or dropped without being seen.
 *
 * @typedef {"" | "." | "00" | "25" | "50" | "75"} Quarter "." is a point typed on a keyboard
 * @typedef {{ sign: "" | "-" | "+", digits: string, quarter: Quarter }} Entry
 *
 * @typedef {object} NumberField a field of a record kind
 * @property {string} label
 * @property {string} unit
 * @property {number} scale recorded units in one shown unit
 * @property {number} shown_decimals
 * @property {number} min recorded
 * @property {number} max recorded
 * @property {number} step recorded
 * @property {0 | 1} signed
 * @property {number} [pad_step] recorded; 25 hundredths of a dioptre brings the quarter keys
 * @property {number} [zero_means] recorded
 * @property {number} [unusual_min]
 * @property {number} [unusual_max]
 */
import { shown } from "./numbers.js";
import { lowerFirst, withUnit } from "./words.js";

/** After a typed point the first decimal decides the quarter. */
const QUARTER_OF = /** @type {Record<string, string>} */ ({ 0: "00", 2: "25", 5: "50", 7: "75" });

/** @type {Entry} */
export const EMPTY = { sign: "", digits: "", quarter: "" };

/** @param {NumberField} field */
export const hasQuarters = (field) => field.pad_step === 25 && field.scale === 100;

/**
 * Say whether a sign must be chosen first ("must"), may be ("may"), or cannot ("no").
 *
 * @param {NumberField} field
 * @returns {"must" | "may" | "no"}
 */
export function signRule(field) {
  if (field.signed) return "must";
  return field.min < 0 ? "may" : "no";
}

/**
 * Return the entry after one key: a digit, "-", "+", ".25" or "erase". A key that cannot be used
 * now changes nothing.
 *
 * @param {NumberField} field
 * @param {Entry} entry
 * @param {string} key
 * @returns {Entry}
 */
export function press(field, entry, key) {
  if (key === "erase") return erased(entry);
  if (key === "-" || key === "+") return signed(field, entry, key);
  if (needsSignFirst(field, entry)) return entry;
  if (key.startsWith(".")) return quartered(field, entry, key.slice(1));
  if (entry.quarter === ".") return quartered(field, entry, QUARTER_OF[key] ?? "");
  return /^[0-9]$/.test(key) ? withDigit(field, entry, key) : entry;
}

/**
 * Say whether the sign still has to be chosen before a digit.
 *
 * @param {NumberField} field
 * @param {Entry} entry
 */
export function needsSignFirst(field, entry) {
  return signRule(field) === "must" && entry.sign === "";
}

/** @param {Entry} entry @returns {Entry} */
function erased(entry) {
  if (entry.quarter) return { ...entry, quarter: "" };
  if (entry.digits) return { ...entry, digits: entry.digits.slice(0, -1) };
  return { ...entry, sign: "" };
}

/**
 * @param {NumberField} field
 * @param {Entry} entry
 * @param {"-" | "+"} sign
 * @returns {Entry}
 */
function signed(field, entry, sign) {
  if (signRule(field) === "no") return entry;
  const isSecondPress = signRule(field) === "may" && entry.sign === sign;
  return { ...entry, sign: isSecondPress ? "" : sign };
}

/**
 * @param {NumberField} field
 * @param {Entry} entry
 * @param {string} quarter
 * @returns {Entry}
 */
function quartered(field, entry, quarter) {
  if (!hasQuarters(field)) return entry;
  if (quarter === "" && entry.quarter === "") return { ...entry, quarter: "." };
  if (!/^(00|25|50|75)$/.test(quarter)) return entry;
  return { ...entry, quarter: /** @type {Quarter} */ (quarter) };
}

/**
 * @param {NumberField} field
 * @param {Entry} entry
 * @param {string} digit
 * @returns {Entry}
 */
function withDigit(field, entry, digit) {
  if (entry.digits.length >= mostDigits(field, entry)) return entry;
  if (entry.quarter) return entry;
  // Whole numbers have no leading zero: 07 would be read as a slip for 70.
  const isWhole = hasQuarters(field) || field.shown_decimals === 0;
  return { ...entry, digits: isWhole && entry.digits === "0" ? digit : entry.digits + digit };
}

/** @param {NumberField} field @param {Entry} entry */
function mostDigits(field, entry) {
  const largest = Math.max(Math.abs(field.min), Math.abs(field.max));
  const widest = String(Math.floor(largest / field.scale)).length;
  if (hasQuarters(field)) return widest;
  const decimals = field.shown_decimals;
  if (decimals === 0) return widest;
  const usual = wholeDigits(field, entry) + decimals;
  // "1", "0", "0" is 1.00 and one more "0" can only mean 10.00 where the range goes that far.
  const wider = Number(`${entry.digits.slice(0, usual)}0`.padEnd(usual + 1, "0"));
  const stillFits = (wider * field.scale) / 10 ** decimals <= largest;
  return entry.digits.length >= usual && stillFits ? usual + 1 : usual;
}

/**
 * Return how many digits stand before the printed point: the fewest with which the typed digits
 * can still become a value in range, else the fewest the range knows.
 *
 * @param {NumberField} field
 * @param {Entry} entry
 * @returns {number}
 */
export function wholeDigits(field, { digits }) {
  const decimals = field.shown_decimals;
  const largest = Math.max(Math.abs(field.min), Math.abs(field.max));
  const smallest = Math.max(field.min, 0);
  const fewest = String(Math.floor(smallest / field.scale)).length;
  const most = String(Math.floor(largest / field.scale)).length;
  for (let whole = fewest; whole <= most; whole += 1) {
    const total = whole + decimals;
    if (digits.length > total) continue;
    const unit = field.scale / 10 ** decimals;
    const low = Number(digits.padEnd(total, "0")) * unit;
    const high = Number(digits.padEnd(total, "9")) * unit;
    if (low <= largest && high >= smallest) return whole;
  }
  return Math.max(fewest, Math.min(most, digits.length - decimals));
}

/**
 * Return the digits before and after the printed point, "_" where one is still to come.
 *
 * @param {NumberField} field
 * @param {Entry} entry
 * @returns {{ whole: string, decimals: string }}
 */
export function places(field, entry) {
  if (hasQuarters(field)) {
    return { whole: entry.digits || "_", decimals: entry.quarter.replace(".", "") || "__" };
  }
  if (field.shown_decimals === 0) return { whole: entry.digits || "_", decimals: "" };
  const whole = wholeDigits(field, entry);
  const digits = entry.digits.padEnd(whole + field.shown_decimals, "_");
  return { whole: digits.slice(0, whole), decimals: digits.slice(whole) };
}

/**
 * Return the number as typed, in ASCII, or null while something is missing: "-9.00".
 *
 * @param {NumberField} field
 * @param {Entry} entry
 * @returns {string | null}
 */
export function typedText(field, entry) {
  const { whole, decimals } = places(field, entry);
  if (`${whole}${decimals}`.includes("_") || needsSignFirst(field, entry)) return null;
  const size = decimals ? `${whole}.${decimals}` : whole;
  const isZero = Number(size) === 0;
  return isZero ? size : `${entry.sign === "+" && !field.signed ? "" : entry.sign}${size}`;
}

/**
 * Return the recorded integer, or null while something is missing.
 *
 * @param {NumberField} field
 * @param {Entry} entry
 * @returns {number | null}
 */
export function recorded(field, entry) {
  const text = typedText(field, entry);
  if (text === null) return null;
  // Whole arithmetic on the digits: no fraction is ever computed and rounded.
  const digits = Number(text.replace(/[^0-9]/g, ""));
  const decimals = hasQuarters(field) ? 2 : field.shown_decimals;
  const value = digits * (field.scale / 10 ** decimals);
  // Axis 0 and 180 are one direction, which is recorded as 180.
  if (value === 0) return field.zero_means ?? 0;
  return text.startsWith("-") ? -value : value;
}

/**
 * Return why the number cannot be kept yet, or null. The text stands on the button.
 *
 * @param {NumberField} field
 * @param {Entry} entry
 * @returns {string | null}
 */
export function notYet(field, entry) {
  if (needsSignFirst(field, entry)) return "Choose minus or plus";
  const value = recorded(field, entry);
  if (value === null) return missingWords(field, entry);
  if (value < field.min || value > field.max) return rangeWords(field);
  return null;
}

/** @param {NumberField} field @param {Entry} entry */
function missingWords(field, entry) {
  if (entry.digits === "" && !entry.quarter) return `Type the ${lowerFirst(field.label)}`;
  if (hasQuarters(field))
    return entry.digits ? "Choose .00, .25, .50 or .75" : "Type the whole dioptres";
  const { whole, decimals } = places(field, entry);
  const left = `${whole}${decimals}`.split("_").length - 1;
  return left === 1 ? "One more digit, then keep" : `${left} more digits, then keep`;
}

/**
 * Return the possible range in words: "Sphere goes from −35 to +20 D".
 *
 * @param {NumberField} field
 * @returns {string}
 */
export function rangeWords(field) {
  const brief = (/** @type {number} */ value) => shown(value, { ...field, shown_decimals: 0 });
  return withUnit(
    `${field.label} goes from ${brief(field.min)} to ${brief(field.max)}`,
    field.unit,
  );
}

/**
 * Say what is unusual about a possible value, or null where it is ordinary.
 *
 * @param {NumberField} field
 * @param {number} value recorded
 * @returns {string | null}
 */
export function unusualWords(field, value) {
  const { unusual_min: low, unusual_max: high } = field;
  const usual = (/** @type {number} */ limit) => withUnit(shown(limit, field), field.unit);
  if (low !== undefined && value < low) return `Most eyes have ${usual(low)} or more.`;
  if (high !== undefined && value > high) return `Most eyes have ${usual(high)} or less.`;
  return null;
}

/**
 * Return what to say about a typed point, or null where it stands where the printed one is.
 *
 * @param {NumberField} field
 * @param {Entry} entry
 * @returns {string | null}
 */
export function pointWords(field, entry) {
  if (hasQuarters(field)) return null;
  if (field.shown_decimals === 0)
    return `${field.label} is a whole number of ${field.unit || "units"}.`;
  const whole = wholeDigits(field, entry);
  if (entry.digits.length === whole) return null;
  return `The point is printed here, after ${whole === 1 ? "1 digit" : `${whole} digits`}. Check the value.`;
}
