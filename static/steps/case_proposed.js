/**
 * The lens that the page is about, said below the findings before everything it rests on; or why there is none.
 *
 * @import { Model } from "./case.js"
 */
import { html } from "lit-html";
import { millimetres } from "../ui/numbers.js";
import { sectionHead } from "../ui/page.js";
import { powerView } from "../ui/power.js";
import { promise } from "./case_approve.js";
import { lensInView } from "./case_lenses.js";

/** @param {Pick<Model, "choice" | "plan">} model */
export function proposedLens(model) {
  const { choice, plan } = model;
  const lens = lensInView(/** @type {Model} */ (model));
  const title = choice ? "Lens chosen" : "Lens proposed";
  if (!lens) return html`${sectionHead(title)}<p class="t-small strong">${whyNone(plan)}</p>`;
  return html`${sectionHead(title)}
    <p><span class="t-value">${powerView(lens)}</span>, <span class="nowrap">${millimetres(lens.length_um)} mm,</span> <span class="nowrap">${lens.model}</span></p>
    <p class="t-small">${plan.shown ? promise(plan) : html`<b>It can’t be approved: ${whyNot(plan)}.</b>`}</p>`;
}

/** @param {any} plan */
export function whyNone({ missing }) {
  const words = missing.map((/** @type {{ text: string }} */ { text }) => text).join(", ");
  return words ? `None yet. Missing: ${words}.` : "None: no lens of the catalogue corrects this eye.";
}

/** @param {any} plan */
export const whyNot = ({ findings }) =>
  findings.some((/** @type {any} */ { level, fixed }) => level === "stop" && fixed) ? "a stop above stands" : "it is not in the catalogue";
