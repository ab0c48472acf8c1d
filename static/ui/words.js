/** Small repairs of wording that several pages need. */

/**
 * Return a number with its noun: "1 reading", "2 readings".
 *
 * @param {number} number
 * @param {string} noun
 * @returns {string}
 */
export function count(number, noun) {
  return `${number} ${noun}${number === 1 ? "" : "s"}`;
}

/**
 * Return a label as it stands inside a sentence; "Flat K" keeps its K.
 *
 * @param {string} text
 * @returns {string}
 */
export function lowerFirst(text) {
  return text.charAt(0).toLowerCase() + text.slice(1);
}

/**
 * Return a number with its unit: "9.00 D", but "15°".
 *
 * @param {string} number
 * @param {string} unit
 * @returns {string}
 */
export function withUnit(number, unit) {
  return unit === "°" || unit === "" ? `${number}${unit}` : `${number} ${unit}`;
}
