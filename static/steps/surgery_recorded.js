/**
 * What is on record of the surgeries of an eye: the lens in it, and those that were in it before.
 *
 * @import { Acts, Model } from "./surgery.js"
 */
import { html, nothing } from "lit-html";
import { day } from "../ui/moments.js";
import { lensInEye } from "./lens_in_eye.js";
import { standingSurgeries } from "./surgery_amend.js";
import { pastRecords } from "./surgery_removal.js";

/**
 * What stands for an eye with a lens in it, and what may have happened since.
 *
 * @param {Model} model
 * @param {Acts} acts
 * @param {(surgery: any, how: "correct" | "withdraw") => void} amend
 */
export function recorded(model, acts, amend) {
  const { fold, user } = model;
  const here = fold.surgeries.filter((/** @type {any} */ { in_eye }) => in_eye !== 0);
  return html`${standingSurgeries(here, user, amend)}
    ${lensInEye(fold) ? html`<div class="stack gap-top">
      <button type="button" class="btn full" @click=${() => acts.fill({ how: "exchange" })}>Another lens took its place</button>
      <button type="button" class="btn full" @click=${() => acts.fill({ how: "remove" })}>It was taken out, none put in</button>
    </div>` : nothing}
    ${here.length > 1 ? html`<button type="button" class="btn full gap-top" @click=${() => acts.fill({ how: "remove" })}>The lens of
      ${day(here[0].body.operated)} had been taken out before</button>` : nothing}
    ${before(model, acts, amend)}`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 * @param {(surgery: any, how: "correct" | "withdraw") => void} amend
 */
export function before(model, acts, amend) {
  const past = pastRecords(model, acts.fill, amend);
  return past === nothing ? nothing : html`<details class="more-findings gap-top"><summary>Lenses that were in this eye
    before: correct what was recorded</summary>${past}</details>`;
}
