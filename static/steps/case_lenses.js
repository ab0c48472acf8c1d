/**
 * The choice: lengths with their predicted vault, the lenses of the chosen length, what moves them.
 *
 * @import { Acts, Lens, Model } from "./case.js"
 */
import { html, nothing } from "lit-html";
import { beamFigure, onArrow } from "../ui/beam_figure.js";
import { cylindricalSaid, dioptres, millimetres } from "../ui/numbers.js";
import { sectionHead } from "../ui/page.js";
import { powerText, powerView } from "../ui/power.js";
import { modelLine } from "../ui/vault_model.js";
import { openSheet } from "./case_open.js";

/**
 * Return where a predicted refraction counts: in the plane in which the eye was refracted.
 *
 * @param {any} plan
 */
export function planeWords({ inputs = {} }) {
  return inputs.refraction?.plane === "corneal" ? "at the cornea" : "at the glasses";
}

/**
 * Return the lens that the page is about: the one taken, otherwise the recommended one.
 *
 * @param {Model} model
 * @returns {Lens | null}
 */
export function lensInView({ choice, plan }) {
  return choice ?? plan?.recommended ?? null;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function lengthsSection(model, acts) {
  const { plan } = model;
  if (plan.lengths.length === 0) return nothing;
  const [low, high] = plan.window_um;
  const chosenUm = lensInView(model)?.length_um ?? null;
  return html`${sectionHead("Length", `window ${low} to ${high} µm`)}
    <p class="t-small">${plan.length_text}</p>
    ${beamFigure({ lengths: plan.lengths, windowUm: plan.window_um, chosenUm, onChoose: (um) => takeLength(model, um, acts) })}
    ${modelLine(plan, model.names)}`;
}

/**
 * A length is taken with its own nearest lens: no power is carried over to another vault.
 *
 * @param {Model} model
 * @param {number} length_um
 * @param {Acts} acts
 */
function takeLength(model, length_um, { choose }) {
  const length = model.plan.lengths.find((/** @type {any} */ one) => one.length_um === length_um);
  const first = length?.lenses[0];
  if (first) void choose(lensAt(first, length_um));
  else model.notice = `No lens of the catalogue corrects this eye at ${millimetres(length_um)} mm.`;
}

/**
 * Return an offered power as a lens of a length.
 *
 * @param {any} lens
 * @param {number} length_um
 * @returns {Lens}
 */
export function lensAt({ model, sphere_cD, cylinder_cD, axis_deg }, length_um) {
  return { model, sphere_cD, cylinder_cD, axis_deg, length_um };
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function lensesSection(model, acts) {
  const lens = lensInView(model);
  const length = model.plan.lengths.find((/** @type {any} */ one) => one.length_um === lens?.length_um);
  if (!lens || !length) return nothing;
  const isListed = length.lenses.some((/** @type {any} */ one) => isSame(lensAt(one, lens.length_um), lens));
  return html`${sectionHead(`Lens for ${millimetres(lens.length_um)} mm`, `exact ${powerText(length.exact)}`)}
    <div class="stack" role="radiogroup" aria-label="Lens" @keydown=${onArrow}>
      ${length.lenses.map((/** @type {any} */ one) => lensCard(model, one, lens, acts))}
      ${isListed ? nothing : otherCard(model, lens)}
    </div>
    <button type="button" class="btn full gap-top" @click=${() => openSheet(model, "other", acts)}>Another available lens</button>`;
}

/**
 * @param {Model} model
 * @param {any} offer
 * @param {Lens} lens
 * @param {Acts} acts
 */
function lensCard({ plan }, offer, lens, { choose }) {
  const own = lensAt(offer, lens.length_um);
  const isChosen = isSame(own, lens);
  return html`<button type="button" class="pick" role="radio" aria-checked=${isChosen} tabindex=${isChosen ? 0 : -1}
    aria-label="${cylindricalSaid(own)}, model ${own.model}, leaves ${cylindricalSaid(offer.predicted)} ${planeWords(plan)}, ${offer.why}"
    @click=${() => void choose(own)}>
    <span class="dot"></span>
    <span><span class="t-value">${powerView(own)}</span> <span class="t-micro soft nowrap">${own.model}</span><br />
      <span class="t-small">leaves <span class="strong">${powerView(offer.predicted)}</span> ${planeWords(plan)}, ${offer.why}</span></span>
  </button>`;
}

/**
 * The lens taken by hand, which is none of the three best.
 *
 * @param {Model} model
 * @param {Lens} lens
 */
function otherCard({ plan }, lens) {
  const { predicted } = plan.shown ?? {};
  return html`<div class="pick" role="radio" aria-checked="true" tabindex="0"><span class="dot"></span>
    <span><span class="t-value">${powerView(lens)}</span> <span class="t-micro soft nowrap">${lens.model}</span><br />
      <span class="t-small">${predicted ? html`leaves <span class="strong">${powerView(predicted)}</span> ${planeWords(plan)}, chosen by hand` : "not in the catalogue"}</span></span></div>`;
}

/**
 * Say whether two lenses are the same in every part.
 *
 * @param {Lens} a
 * @param {Lens} b
 */
export function isSame(a, b) {
  return ["model", "sphere_cD", "cylinder_cD", "axis_deg", "length_um"].every(
    (field) => /** @type {any} */ (a)[field] === /** @type {any} */ (b)[field],
  );
}

/** @param {any} plan */
export function movesLine({ moves }) {
  if (!moves) return nothing;
  const { vault_100um_cD, turn_5deg_cD, refraction_quarter_cD } = moves;
  return html`<p class="t-small gap-top">What would move it: vault 100 µm higher
    <span class="strong nowrap">${dioptres(vault_100um_cD)} D</span>; lens turned 5°
    <span class="strong nowrap">${dioptres(turn_5deg_cD)} D</span> of cylinder; refraction 0.25 D off
    <span class="strong nowrap">${dioptres(refraction_quarter_cD)} D</span>.</p>`;
}
