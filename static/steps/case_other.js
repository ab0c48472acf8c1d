/**
 * A lens put together by hand from what the catalogue has; the core says whether it can be had.
 *
 * @import { Acts, Lens, Model } from "./case.js"
 * @typedef {Omit<Lens, "sphere_cD" | "cylinder_cD" | "length_um"> & { sphere_cD: number | null, cylinder_cD: number | null, length_um: number | null }} Draft
 *   a lens of which not every field is chosen yet
 */
import { html } from "lit-html";
import { dioptres, millimetres } from "../ui/numbers.js";
import { lensInView } from "./case_lenses.js";
import { closeSheet } from "./case_open.js";
import { picker } from "./case_picker.js";

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function otherBody(model, acts) {
  const models = model.casefile?.reference.catalogue?.body.models ?? [];
  const lens = /** @type {Draft | null} */ (model.other ?? lensInView(model));
  const known = models.find((/** @type {any} */ one) => one.model === lens?.model) ?? models[0];
  if (!lens || !known) return html`<p>The catalogue has no lens models.</p>`;
  const missing = firstMissing(known, lens);
  const set = (/** @type {Partial<Draft>} */ part) => {
    model.other = { ...lens, ...part };
    acts.redraw();
  };
  return html`<h2 class="t-title">Another available lens</h2>
    <p class="t-small soft">Only what the catalogue lists can be chosen. The plan is made again for it.</p>
    <form class="stack" novalidate @submit=${(/** @type {SubmitEvent} */ event) => {
      event.preventDefault();
      if (missing === null) void take(model, /** @type {Lens} */ (lens), acts);
    }}>
      ${picker("Model", lens.model, models.map((/** @type {any} */ { model: name }) => [name, name]), (name) => set(freshLens(models, name)))}
      ${picker("Sphere, D", lens.sphere_cD, powers(known, "sphere"), (value) => set({ sphere_cD: Number(value) }))}
      ${known.toric ? toricFields(known, lens, set) : ""}
      ${picker("Length, mm", lens.length_um, known.lengths_um.map((/** @type {number} */ um) => [um, millimetres(um)]), (value) => set({ length_um: Number(value) }))}
      <div class="btn-row">
        <button type="button" class="btn" @click=${() => closeSheet(model, acts)}>Go back</button>
        <button type="submit" class="btn main" aria-disabled=${missing !== null}>${missing ? `Choose the ${missing}` : "Show this lens"}</button>
      </div>
    </form>`;
}

/**
 * @param {any} known
 * @param {Draft} lens
 * @param {(part: Partial<Draft>) => void} set
 */
function toricFields(known, lens, set) {
  const axes = Array.from({ length: Math.floor(180 / known.axis_step_deg) }, (_, index) => (index + 1) * known.axis_step_deg);
  return html`${picker("Cylinder, D", lens.cylinder_cD, powers(known, "cylinder"), (value) => set({ cylinder_cD: Number(value) }))}
    ${picker("Axis, degrees", lens.axis_deg, axes.map((axis) => [axis, String(axis)]), (value) => set({ axis_deg: Number(value) }))}`;
}

/**
 * Another model starts from no power of its own: each is chosen again, none is carried over.
 *
 * @param {any[]} models
 * @param {string} name
 * @returns {Draft}
 */
export function freshLens(models, name) {
  const { toric } = models.find(({ model }) => model === name);
  const blank = { model: name, sphere_cD: null, length_um: null };
  return toric ? { ...blank, cylinder_cD: null, axis_deg: null } : { ...blank, cylinder_cD: 0, axis_deg: null };
}

/**
 * Return the first field of a lens that is not chosen yet, as the button says it, or null.
 *
 * @param {any} known the catalogue's model
 * @param {Draft} lens
 * @returns {string | null}
 */
export function firstMissing({ toric }, lens) {
  if (lens.sphere_cD === null) return "sphere";
  if (toric && lens.cylinder_cD === null) return "cylinder";
  if (toric && lens.axis_deg === null) return "axis";
  return lens.length_um === null ? "length" : null;
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
 * @param {Model} model
 * @param {Lens} lens
 * @param {Acts} acts
 */
async function take(model, lens, acts) {
  Object.assign(model, { sheet: null, other: null });
  await acts.choose(lens);
}
