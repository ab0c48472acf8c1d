/**
 * The beam figure: where each lens length would sit, as one curve a length over the lamplit window.
 *
 * One scale for all rows, 0 to 1100 micrometres (1500 for an exchange), and one height, so that wide means low. Inside
 * the window a curve is solid, below it dots, above it stripes; the counts stand in their zones.
 *
 * @import { TemplateResult } from "lit-html"
 * @typedef {object} LengthRow
 * @property {number} length_um
 * @property {number} mean_um
 * @property {number} low95_um
 * @property {number} high95_um
 * @property {number} p_low_e4
 * @property {number} p_in_e4
 * @property {number} p_high_e4
 * @property {number[]} curve density at 0, 20, ... um up to the end of the scale, 0 to 1000
 * @property {string} [note] what else is said beside the length
 * @property {string} [text] the row as a sentence, where it is not the usual one
 * @property {boolean} [isFixed] it informs, and cannot be chosen
 *
 * @typedef {{ topUm: number, ticksUm: number[] }} Scale where the scale ends, and what stands under it
 */
import { html, nothing, svg } from "lit-html";
import { ref } from "lit-html/directives/ref.js";
import { micrometres, millimetres, ofHundred, ofHundredSaid, said } from "./numbers.js";

/** @type {Scale} */
const USUAL = { topUm: 1100, ticksUm: [0, 250, 500, 750, 1000] };
const STEP_UM = 20;
const WIDTH = 220;
const BASE = 40;
const PEAK = 34;

/** Dots and stripes, defined once a figure. */
const PATTERNS = html`<svg class="visually-hidden" aria-hidden="true" focusable="false"><defs>
  <pattern id="beam-dots" width="5" height="5" patternUnits="userSpaceOnUse"><circle cx="2.5"
    cy="2.5" r="1.3" class="plot-tail" /></pattern>
  <pattern id="beam-stripes" width="5" height="5" patternUnits="userSpaceOnUse"
    patternTransform="rotate(45)"><rect width="2.2" height="5" class="plot-tail" /></pattern>
</defs></svg>`;

/**
 * @param {object} figure
 * @param {LengthRow[]} figure.lengths
 * @param {[number, number]} figure.windowUm
 * @param {number | null} [figure.chosenUm]
 * @param {((lengthUm: number) => void) | null} [figure.onChoose] without it the rows only inform
 * @param {Scale} [figure.scale]
 * @returns {TemplateResult}
 */
export function beamFigure({ lengths, windowUm, chosenUm = null, onChoose = null, scale = USUAL }) {
  const tallest = Math.max(1, ...lengths.flatMap(({ curve }) => curve));
  const rowOf = (/** @type {LengthRow} */ length) =>
    row(length, { windowUm, tallest, isChosen: length.length_um === chosenUm, onChoose, chosenUm, topUm: scale.topUm });
  const place = ref((element) => placeWindow(element, windowUm, scale.topUm));
  return html`<div class="beam-figure" role=${onChoose ? "radiogroup" : "list"}
      aria-label="Lens length and predicted vault" @keydown=${onArrow} ${place}>
      ${PATTERNS}
      <div class="beam-window" aria-hidden="true"></div>
      ${lengths.map(rowOf)}
      <div class="beam-scale" aria-hidden="true"
        role="presentation">${scale.ticksUm.map((um) => tick(um, scale.topUm))}</div>
    </div>
    ${legend(windowUm)}`;
}

/**
 * Return a row as a sentence: length, vault, interval and the three counts.
 *
 * @param {LengthRow} length
 * @returns {string}
 */
export function lengthSentence({ length_um, mean_um, low95_um, high95_um, text, ...chances }) {
  if (text) return text;
  return (
    `${millimetres(length_um)} millimetres. Predicted vault ${said(mean_um, {})} micrometres, ` +
    `95 in 100 between ${said(low95_um, {})} and ${said(high95_um, {})}. Of 100 such eyes: ` +
    `${ofHundredSaid(chances.p_in_e4)} in the window, ${ofHundredSaid(chances.p_low_e4)} too low, ` +
    `${ofHundredSaid(chances.p_high_e4)} too high.`
  );
}

/**
 * @param {LengthRow} length
 * @param {{ windowUm: [number, number], tallest: number, isChosen: boolean, chosenUm: number | null, onChoose: ((lengthUm: number) => void) | null, topUm: number }} how
 */
function row(length, { windowUm, tallest, isChosen, chosenUm, onChoose, topUm }) {
  const canChoose = onChoose && !length.isFixed;
  const words = html`<span class="beam-label" aria-hidden="true">
    ${canChoose ? html`<span class="dot"></span>` : nothing}
    <span><span class="t-value">${millimetres(length.length_um)}<span
      class="unit">mm</span></span><br />
      ${length.note ? html`<span class="t-micro strong">${length.note}</span><br />` : nothing}
      <span class="t-micro soft">${micrometres(length.mean_um)} µm<br
        />${micrometres(length.low95_um)} to ${micrometres(length.high95_um)}</span></span>
  </span>`;
  const picture = html`<span aria-hidden="true">${plot(length, windowUm, tallest, topUm)}
    <span class="beam-counts"><span>${zone(length.p_low_e4, "low")}</span><span
      class="in">${zone(length.p_in_e4, "in")}</span><span>${zone(length.p_high_e4, "high")}</span></span></span>`;
  if (!onChoose) {
    return html`<div class="beam-row" role="listitem"><span
      class="visually-hidden">${lengthSentence(length)}</span>${words}${picture}</div>`;
  }
  if (!canChoose) {
    return html`<div class="beam-row as-now" role="radio" aria-checked="false" aria-disabled="true"
      tabindex="-1" aria-label=${lengthSentence(length)}>${words}${picture}</div>`;
  }
  // One row can be reached by Tab: the chosen one, or the first while none is chosen.
  return html`<div class="beam-row" role="radio" aria-checked=${isChosen}
    tabindex=${isChosen || chosenUm === null ? 0 : -1} aria-label=${lengthSentence(length)}
    @click=${() => onChoose(length.length_um)}>${words}${picture}</div>`;
}

/**
 * @param {number} chance_e4
 * @param {string} word
 */
const zone = (chance_e4, word) => `${ofHundred(chance_e4)} ${word}`;

/**
 * @param {LengthRow} length
 * @param {[number, number]} windowUm
 * @param {number} tallest
 * @param {number} topUm
 */
function plot(length, [low, high], tallest, topUm) {
  const x = (/** @type {number} */ um) => ((um * WIDTH) / topUm).toFixed(1);
  const heights = length.curve.map((density) => BASE - (PEAK * density) / tallest);
  const held = (/** @type {number} */ um) => x(Math.max(0, Math.min(topUm, um)));
  return html`<svg class="beam-plot" viewBox="0 0 ${WIDTH} 48" focusable="false">
    ${svg`<path class="plot-body" d=${area(heights, low, high, x)} />
    <path fill="url(#beam-dots)" d=${area(heights, 0, low, x)} />
    <path fill="url(#beam-stripes)" d=${area(heights, high, topUm, x)} />
    <path class="plot-line" d=${outline(heights, x)} />
    <path class="plot-axis" d="M0 ${BASE}H${WIDTH}" />
    <path class="plot-interval" d="M${held(length.low95_um)} 45H${held(length.high95_um)}" />
    <path class="plot-median" d="M${held(length.mean_um)} 41v7" />`}
  </svg>`;
}

/** @typedef {(um: number) => string} Place where along the scale a vault stands */

/**
 * @param {number[]} heights
 * @param {Place} x
 */
function outline(heights, x) {
  return `M${heights.map((y, index) => `${x(index * STEP_UM)} ${y.toFixed(1)}`).join("L")}`;
}

/**
 * Return the area under the curve between two places.
 *
 * @param {number[]} heights
 * @param {number} fromUm
 * @param {number} toUm
 * @param {Place} x
 */
function area(heights, fromUm, toUm, x) {
  const inside = heights.flatMap((y, index) => {
    const um = index * STEP_UM;
    return um > fromUm && um < toUm ? [`${x(um)} ${y.toFixed(1)}`] : [];
  });
  const ends = [fromUm, toUm].map((um) => `${x(um)} ${heightAt(heights, um).toFixed(1)}`);
  return `M${x(fromUm)} ${BASE}L${[ends[0], ...inside, ends[1]].join("L")}L${x(toUm)} ${BASE}Z`;
}

/**
 * @param {number[]} heights
 * @param {number} um
 */
function heightAt(heights, um) {
  const before = Math.min(Math.floor(um / STEP_UM), heights.length - 1);
  const after = Math.min(before + 1, heights.length - 1);
  const share = um / STEP_UM - before;
  return (heights[before] ?? BASE) * (1 - share) + (heights[after] ?? BASE) * share;
}

/**
 * The policy of the page allows no style in the markup; the place of the window is set on the
 * element instead.
 *
 * @param {Element | undefined} element
 * @param {[number, number]} windowUm
 * @param {number} topUm
 */
function placeWindow(element, [low, high], topUm) {
  const style = /** @type {HTMLElement | undefined} */ (element)?.style;
  style?.setProperty("--low", String(low / topUm));
  style?.setProperty("--high", String(high / topUm));
}

/**
 * @param {number} um
 * @param {number} topUm
 */
function tick(um, topUm) {
  const place = ref((element) =>
    /** @type {HTMLElement | undefined} */ (element)?.style.setProperty(
      "left",
      `${(um / topUm) * 100}%`,
    ),
  );
  return html`<span ${place}>${um}</span>`;
}

/** @param {[number, number]} windowUm */
function legend([low, high]) {
  return html`<p class="legend">
    <span><svg viewBox="0 0 20 14" aria-hidden="true"><rect width="20" height="14"
      class="swatch-beam" /></svg>window ${low} to ${high} µm</span>
    <span><svg viewBox="0 0 20 14" aria-hidden="true"><rect width="20" height="14"
      fill="url(#beam-dots)" /></svg>dots: too low</span>
    <span><svg viewBox="0 0 20 14" aria-hidden="true"><rect width="20" height="14"
      fill="url(#beam-stripes)" /></svg>stripes: too high</span>
    <span><svg viewBox="0 0 20 14" aria-hidden="true"><path d="M0 7h20"
      class="plot-interval" /><path d="M10 2v10" class="plot-median" /></svg>95 in 100</span>
  </p>`;
}

/**
 * Arrow keys move between the rows and choose, as in any group of radio buttons.
 *
 * @param {KeyboardEvent} event
 */
export function onArrow(event) {
  const step = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[event.key];
  const here = /** @type {HTMLElement} */ (event.target).closest?.('[role="radio"]');
  if (event.key === " " || event.key === "Enter") {
    if (here) {
      event.preventDefault();
      /** @type {HTMLElement} */ (here).click();
    }
    return;
  }
  const group = /** @type {HTMLElement} */ (event.currentTarget);
  /** @type {HTMLElement[]} */
  const rows = [...group.querySelectorAll('[role="radio"]:not([aria-disabled="true"])')].map((row) => /** @type {any} */ (row));
  if (!step || !here || rows.length === 0) return;
  event.preventDefault();
  const next = rows[(rows.indexOf(/** @type {any} */ (here)) + step + rows.length) % rows.length];
  next?.focus();
  next?.click();
}
