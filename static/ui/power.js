/**
 * A refraction or a lens with its unit where a reader looks for it: "−13.00 D sphere".
 *
 * @import { TemplateResult } from "lit-html"
 * @import { Cylindrical } from "./numbers.js"
 */
import { html } from "lit-html";
import { cylindrical, dioptres } from "./numbers.js";

/**
 * Return a power as one text: "−9.00 −2.50 × 15 D", "−13.00 D sphere".
 *
 * @param {Cylindrical} power
 * @returns {string}
 */
export function powerText(power) {
  if (!power.cylinder_cD) return `${dioptres(power.sphere_cD)}\u00a0D sphere`;
  return `${cylindrical(power)}\u00a0D`;
}

/**
 * Return the same with the unit set small, as beside every value.
 *
 * @param {Cylindrical} power
 * @returns {TemplateResult}
 */
export function powerView(power) {
  const unit = html`<span class="unit spaced">D</span>`;
  if (!power.cylinder_cD) {
    return html`<span class="nowrap">${dioptres(power.sphere_cD)}\u00a0${unit}</span> sphere`;
  }
  return html`${cylindrical(power)}\u00a0${unit}`;
}
