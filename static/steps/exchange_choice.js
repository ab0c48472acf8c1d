/**
 * What another lens would do, length by length, and what there is beside it, each with reasons.
 *
 * @import { Acts, Model } from "./exchange.js"
 * @import { Lens } from "./case.js"
 */
import { html, nothing } from "lit-html";
import { beamFigure, onArrow } from "../ui/beam_figure.js";
import { cylindricalSaid, dioptres, millimetres } from "../ui/numbers.js";
import { sectionHead } from "../ui/page.js";
import { powerText, powerView } from "../ui/power.js";
import { isSame, lensAt, lensInView } from "./case_lenses.js";

/** Where the scale of an exchange ends [um], and what stands under it. */
const SCALE = { topUm: 1500, ticksUm: [0, 250, 750, 1000, 1250] };

/** @param {any} plan */
export function alternativesSection({ alternatives, possible }) {
  return html`<section class="beside-lengths">${sectionHead(possible ? "Beside another lens" : "What can be done")}
    ${alternatives.map((/** @type {any} */ one) => html`<div class="alternative">
      <h3 class="t-small strong">${one.title}${one.possible ? "" : ": not here"}</h3>
      <p class="t-small">${one.text}</p>
      ${one.turn ? html`<p class="t-small">${turnWords(one.turn)}</p>` : nothing}
      ${reasons("For", one.for)} ${reasons("Against", one.against)}
    </div>`)}</section>`;
}

/** @param {any} turn */
function turnWords({ turn_deg_e1, to_axis_deg, predicted, gain_cD }) {
  const to = to_axis_deg === null ? "" : ` to ${to_axis_deg}°`;
  return html`Turned by ${(Math.abs(turn_deg_e1) / 10).toFixed(1)}°${to}: leaves <span class="strong nowrap">${powerText(predicted)}</span>,
    gains <span class="strong nowrap">${dioptres(gain_cD)} D</span>.`;
}

/**
 * @param {string} word
 * @param {string[]} texts
 */
function reasons(word, texts) {
  if (texts.length === 0) return nothing;
  return html`<p class="t-micro soft">${word}</p><ul class="t-small">${texts.map((text) => html`<li>${text}</li>`)}</ul>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function lengthsSection(model, acts) {
  const { plan } = model;
  const [low, high] = plan.window_um;
  const lens = lensInView(model);
  const rows = [...plan.rows].sort((one, other) => other.is_now - one.is_now);
  const lengths = rows.map((row) => ({ ...row, isFixed: row.is_now === 1, note: changeWords(row) }));
  return html`<section class="lengths">${sectionHead("Length", `window ${low} to ${high} µm`)}
    <p class="t-small">${plan.length_text}</p>
    ${beamFigure({
      lengths,
      windowUm: plan.window_um,
      chosenUm: lens?.length_um ?? null,
      onChoose: (um) => takeLength(model, um, acts),
      scale: SCALE,
    })}
    ${lensesOf(model, lens, acts)}
    ${plan.doubt ? html`<p class="t-small">${plan.doubt.text}</p>` : nothing}
    <p class="t-small">${plan.basis_text}</p></section>`;
}

/** @param {{ is_now: number, change_um: number }} row */
const changeWords = ({ is_now, change_um }) =>
  is_now ? "as in the eye" : `${change_um < 0 ? "−" : "+"}${millimetres(Math.abs(change_um))} mm`;

/**
 * @param {Model} model
 * @param {number} length_um
 * @param {Acts} acts
 */
function takeLength(model, length_um, { choose, redraw }) {
  const row = model.plan.rows.find((/** @type {any} */ one) => one.length_um === length_um);
  const first = row?.lenses[0];
  if (first) return void choose(lensAt(first, length_um));
  model.notice = `No lens of the catalogue corrects this eye at ${millimetres(length_um)} mm.`;
  redraw();
}

/**
 * @param {Model} model
 * @param {Lens | null} lens
 * @param {Acts} acts
 */
function lensesOf({ plan }, lens, { choose }) {
  const row = plan.rows.find((/** @type {any} */ one) => one.length_um === lens?.length_um);
  if (!lens || !row) return nothing;
  return html`${sectionHead(`Lens for ${millimetres(lens.length_um)} mm`, row.exact ? `exact ${powerText(row.exact)}` : nothing)}
    <p class="t-small"><span class="strong">Power ${plan.power.kept ? "kept" : "changed"}.</span> ${plan.power.text}</p>
    <div class="stack" role="radiogroup" aria-label="Lens" @keydown=${onArrow}>
      ${row.lenses.map((/** @type {any} */ offer) => card(lensAt(offer, lens.length_um), offer, lens, choose))}
    </div>`;
}

/**
 * @param {Lens} own
 * @param {any} offer
 * @param {Lens} lens
 * @param {Acts["choose"]} choose
 */
function card(own, { predicted, why, kept }, lens, choose) {
  const isChosen = isSame(own, lens);
  const words = `${kept ? "power as in the eye, " : ""}${why}`;
  return html`<button type="button" class="pick" role="radio" aria-checked=${isChosen} tabindex=${isChosen ? 0 : -1}
    aria-label="${cylindricalSaid(own)}, model ${own.model}, leaves ${cylindricalSaid(predicted)}, ${words}"
    @click=${() => void choose(own)}>
    <span class="dot"></span>
    <span><span class="t-value">${powerView(own)}</span> <span class="t-micro soft nowrap">${own.model}</span><br />
      <span class="t-small">leaves <span class="strong">${powerView(predicted)}</span>, ${words}</span></span>
  </button>`;
}
