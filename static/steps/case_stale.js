/**
 * An approval that no longer stands: why, what has been ordered, and what was signed against now.
 *
 * @import { Model } from "./case.js"
 */
import { html, nothing } from "lit-html";
import { icon } from "../ui/icons.js";
import { micrometres, millimetres, ofHundred } from "../ui/numbers.js";
import { moment } from "../ui/moments.js";
import { powerText } from "../ui/power.js";
import { isOver } from "./case_gate.js";
import { lensInView } from "./case_lenses.js";

/**
 * @param {Model} model
 * @param {any} fold
 */
export function staleNotice(model, fold) {
  const { approval, order } = fold;
  if (!approval || approval.live || isOver(approval) || fold.state === "returned") return nothing;
  const isOwn = approval.author === model.identity.user.id;
  const what = approval.implant ? "decision" : "approval";
  const title = `${isOwn ? "Your" : what === "decision" ? "A" : "An"} ${what} no longer stands`;
  return html`<section class="gap-top stale" aria-label=${title}>
    <div class="stale-head">${icon("stale")}
      <div><h2 class="t-title">${title}</h2>
        <ul class="t-small">${approval.stale.map((/** @type {any} */ { text }) => html`<li>${text}</li>`)}</ul>
        <p class="t-small strong">${order?.live ? `The order ${order.number} stands at the supplier.` : "Nothing has been ordered from it."}</p>
      </div></div>
    ${approval.implant ? nothing : compared(approval, model)}
  </section>`;
}

/**
 * @param {any} approval
 * @param {Model} model
 */
function compared({ shown: signed, wall, author }, model) {
  const { plan } = model;
  const isOwn = author === model.identity.user.id;
  const now = { inputs: plan.inputs, lens: lensInView(model), predicted: plan.shown?.predicted };
  const rows = ROWS.map(([label, write]) => ({ label, was: write(signed), is: write(now) }));
  return html`<table class="grid compared"><thead><tr><td></td>
      <th scope="col">${isOwn ? "You signed" : "Signed"}<br /><span class="soft">${moment(wall)}</span></th>
      <th scope="col">Now</th></tr></thead>
    <tbody>${changedFirst(rows).map(row)}</tbody></table>`;
}

/**
 * @template {{ was: string, is: string }} Row
 * @param {Row[]} rows
 * @returns {Row[]}
 */
export function changedFirst(rows) {
  return [...rows.filter(({ was, is }) => was !== is), ...rows.filter(({ was, is }) => was === is)];
}

/** @param {{ label: string, was: string, is: string }} both */
function row({ label, was, is }) {
  return html`<tr><th scope="row">${label}</th><td>${was}</td>
    <td>${was === is ? html`<span class="soft">same</span>` : html`<b>${is}</b>`}</td></tr>`;
}

/** @param {number | null | undefined} um */
const mm = (um) => (um === null || um === undefined ? "none" : `${millimetres(um)}\u00a0mm`);

/** @type {[string, (shown: any) => string][]} */
export const ROWS = [
  ["Refraction", ({ inputs }) => (inputs.refraction ? powerText(inputs.refraction) : "none")],
  ["Cornea", ({ inputs }) => corneaWords(inputs.keratometry)],
  ["Depth", ({ inputs }) => `${mm(inputs.chamber_depth_um)}${inputs.surface ? `, from ${inputs.surface}` : ""}`],
  ["Corneal thickness", ({ inputs }) => (inputs.cct_um === null ? "none" : `${inputs.cct_um}\u00a0µm`)],
  ["Diameter", ({ inputs }) => `${mm(inputs.diameter_um)}${inputs.diameter_kind ? `, ${inputs.diameter_kind.replaceAll("_", "-")}` : ""}`],
  ["Lens rise", ({ inputs }) => mm(inputs.lens_rise_um)],
  ["Lens", ({ lens }) => (lens ? powerText(lens) : "none")],
  ["Length", ({ lens }) => mm(lens?.length_um)],
  ["Leaves", ({ predicted }) => (predicted ? powerText(predicted) : "none")],
  ["Vault", ({ predicted }) => (predicted ? `${micrometres(predicted.mean_um)}\u00a0µm` : "none")],
  ["In the window", ({ predicted }) => (predicted ? `${ofHundred(predicted.p_in_e4)} in 100` : "none")],
];

/** @param {any} cornea */
function corneaWords(cornea) {
  if (!cornea) return "none";
  const [flat, steep] = [cornea.flat_cD, cornea.steep_cD].map((power) => (power / 100).toFixed(2));
  return `${flat} / ${steep} D at ${cornea.steep_meridian_deg}`;
}
