/**
 * A lens put together by hand from what the catalogue has; the core says whether it can be had.
 *
 * @import { Acts, Lens, Model } from "./case.js"
 */
import { html } from "lit-html";
import { dioptres, millimetres } from "../ui/numbers.js";
import { lensInView } from "./case_lenses.js";
import { closeSheet } from "./case_open.js";

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function otherBody(model, acts) {
  const models = model.casefile?.reference.catalogue?.body.models ?? [];
  const lens = model.other ?? lensInView(model);
  const known = models.find((/** @type {any} */ one) => one.model === lens?.model) ?? models[0];
  if (!lens || !known) return html`<p>The catalogue has no lens models.</p>`;
  const set = (/** @type {Partial<Lens>} */ part) => {
    model.other = { ...lens, ...part };
    acts.redraw();
  };
  return html`<h2 class="t-title">Another available lens</h2>
    <p class="t-small soft">Only what the catalogue lists can be chosen. The plan is made again for it.</p>
    <form class="stack" novalidate @submit=${(/** @type {SubmitEvent} */ event) => {
      event.preventDefault();
      void take(model, lens, acts);
    }}>
      ${picker("Model", lens.model, models.map((/** @type {any} */ { model: name }) => [name, name]), (name) => set(fresh(models, name)))}
      ${picker("Sphere, D", lens.sphere_cD, powers(known, "sphere"), (value) => set({ sphere_cD: Number(value) }))}
      ${known.toric ? toricFields(known, lens, set) : ""}
      ${picker("Length, mm", lens.length_um, known.lengths_um.map((/** @type {number} */ um) => [um, millimetres(um)]), (value) => set({ length_um: Number(value) }))}
      <div class="btn-row">
        <button type="button" class="btn" @click=${() => closeSheet(model, acts)}>Go back</button>
        <button type="submit" class="btn main">Show this lens</button>
      </div>
    </form>`;
}

/**
 * @param {any} known
 * @param {Lens} lens
 * @param {(part: Partial<Lens>) => void} set
 */
function toricFields(known, lens, set) {
  const axes = Array.from({ length: Math.floor(180 / known.axis_step_deg) }, (_, index) => (index + 1) * known.axis_step_deg);
  return html`${picker("Cylinder, D", lens.cylinder_cD, powers(known, "cylinder"), (value) => set({ cylinder_cD: Number(value) }))}
    ${picker("Axis, degrees", lens.axis_deg, axes.map((axis) => [axis, String(axis)]), (value) => set({ axis_deg: Number(value) }))}`;
}

/**
 * Another model starts from no power of its own: each field is chosen again, none is carried over.
 *
 * @param {any[]} models
 * @param {string} name
 * @returns {Partial<Lens>}
 */
function fresh(models, name) {
  const { toric } = models.find(({ model }) => model === name);
  return toric ? { model: name } : { model: name, cylinder_cD: 0, axis_deg: null };
}

/**
 * @param {any} known
 * @param {"sphere" | "cylinder"} part
 * @returns {[number, string][]}
 */
function powers(known, part) {
  const [low, high, step] = ["min", "max", "step"].map((name) => known[`${part}_${name}_cD`]);
  const number = Math.round((high - low) / step) + 1;
  return Array.from({ length: number }, (_, index) => low + index * step).map((value) => [value, dioptres(value)]);
}

/**
 * @param {string} label
 * @param {string | number | null} value
 * @param {[string | number, string][]} choices
 * @param {(value: string) => void} onPick
 */
function picker(label, value, choices, onPick) {
  const id = `other-${label.split(",")[0]?.toLowerCase()}`;
  const isListed = choices.some(([name]) => name === value);
  return html`<div class="field"><label for=${id}>${label}</label>
    <select id=${id} @change=${(/** @type {any} */ event) => onPick(event.target.value)}>
      ${isListed ? "" : html`<option value="" selected disabled>Choose</option>`}
      ${choices.map(([name, words]) => html`<option value=${name} ?selected=${name === value}>${words}</option>`)}
    </select></div>`;
}

/**
 * @param {Model} model
 * @param {Lens} lens
 * @param {Acts} acts
 */
async function take(model, lens, acts) {
  Object.assign(model, { sheet: null, other: null });
  await acts.choose(lens);
}
