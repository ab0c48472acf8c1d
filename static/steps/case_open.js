/**
 * Opening and closing the sheets of the surgeon's page.
 *
 * @import { Acts, Model } from "./case.js"
 */

/**
 * Sheets on which something is signed: their typed text is the passphrase, their words stand beside it.
 *
 * @type {Set<Model["sheet"]>}
 */
export const SIGNED = new Set(["approve", "settle", "late"]);

/**
 * A sheet for words opens with what was typed into it before; one for a passphrase opens empty.
 *
 * @param {Model} model
 * @param {Model["sheet"]} sheet
 * @param {Acts} acts
 */
export function openSheet(model, sheet, { redraw }) {
  const typed = SIGNED.has(sheet) ? "" : (model.said.get(sheet ?? "") ?? "");
  Object.assign(model, { sheet, typed, chosen: null, other: null, aiming: null, refusal: null, notice: null, kept: null });
  redraw();
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function closeSheet(model, { redraw }) {
  Object.assign(model, { sheet: null, typed: "", other: null, aiming: null, refusal: null });
  redraw();
}
