/**
 * Recorded integers as people read them: point, sign and unit always said, never rounded away.
 *
 * Minus is U+2212 in running text; zero has no sign.
 *
 * @typedef {{ scale?: number, shown_decimals?: number, signed?: 0 | 1, unit?: string }} Scale
 * @typedef {{ sphere_cD: number, cylinder_cD: number, axis_deg: number | null }} Cylindrical
 */

import { MINUS, shownNumber } from "../records/numbers.js";

export { MINUS };

/**
 * Return the size of a recorded integer in its shown unit, without sign, with at least the
 * field's decimals and more where the value is finer than that.
 *
 * @param {number} value recorded integer
 * @param {Scale} field
 * @returns {string}
 */
export function size(value, { scale = 1, shown_decimals = 0 }) {
  return shownNumber(Math.abs(value), scale, shown_decimals);
}

/**
 * Return a recorded integer as shown: "−9.00", "11.62". A signed field says plus as well.
 *
 * @param {number} value
 * @param {Scale} field
 * @returns {string}
 */
export function shown(value, field) {
  const plus = field.signed && value > 0 ? "+" : "";
  return `${value < 0 ? MINUS : plus}${size(value, field)}`;
}

/**
 * Return a recorded integer as said: "minus 9.00".
 *
 * @param {number} value
 * @param {Scale} field
 * @returns {string}
 */
export function said(value, field) {
  const plus = field.signed && value > 0 ? "plus " : "";
  return `${value < 0 ? "minus " : plus}${size(value, field)}`;
}

const DIOPTRES = /** @type {Scale} */ ({ scale: 100, shown_decimals: 2, signed: 1 });

/** @param {number} value_cD hundredths of a dioptre */
export const dioptres = (value_cD) => shown(value_cD, DIOPTRES);

/** @param {number} value_cD hundredths of a dioptre */
export const dioptresSaid = (value_cD) => said(value_cD, DIOPTRES);

/** @param {number} value_um micrometres; a vault may be below zero */
export const micrometres = (value_um) => shown(value_um, {});

/** @param {number} value_um micrometres, shown in millimetres */
export const millimetres = (value_um) => shown(value_um, { scale: 1000, shown_decimals: 2 });

/**
 * Return a refraction or a lens as the trade writes it: "−9.00 −2.50 × 15".
 *
 * @param {Cylindrical} power
 * @returns {string}
 */
export function cylindrical({ sphere_cD, cylinder_cD, axis_deg }) {
  if (!cylinder_cD) return `${dioptres(sphere_cD)} sphere`;
  // A line may break after the sphere, never inside "−2.50 × 15".
  return `${dioptres(sphere_cD)} ${dioptres(cylinder_cD)}\u00a0×\u00a0${axis_deg}`;
}

/**
 * Return a refraction or a lens as it is read aloud: "minus 9.00, cylinder minus 2.50 at 15".
 *
 * @param {Cylindrical} power
 * @returns {string}
 */
export function cylindricalSaid({ sphere_cD, cylinder_cD, axis_deg }) {
  if (!cylinder_cD) return `${dioptresSaid(sphere_cD)}, no cylinder`;
  return `${dioptresSaid(sphere_cD)}, cylinder ${dioptresSaid(cylinder_cD)} at ${axis_deg}`;
}

/**
 * Return a chance as a count of a hundred such eyes: "96", "<1", ">99".
 *
 * @param {number} chance_e4 ten-thousandths
 * @returns {string}
 */
export function ofHundred(chance_e4) {
  if (chance_e4 < 50) return "<1";
  if (chance_e4 > 9950) return ">99";
  return String(Math.round(chance_e4 / 100));
}

/**
 * Return the same count as it is read aloud.
 *
 * @param {number} chance_e4 ten-thousandths
 * @returns {string}
 */
export function ofHundredSaid(chance_e4) {
  return ofHundred(chance_e4).replace("<", "under ").replace(">", "over ");
}
