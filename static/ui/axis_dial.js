/**
 * How a lens will lie, as the surgeon sees it from where they sit: drawn from the core's own
 * coordinates, never without the words around it and the sentence below.
 *
 * @import { Eye } from "./eyes.js"
 * @typedef {"head" | "side"} Seat
 * @typedef {[number, number]} Point thousandths of the limbus's radius, x right, y down
 * @typedef {object} View
 * @property {Seat} seat
 * @property {{ word: string, at: Point }[]} words in steps of 90 degrees, from 0
 * @property {[Point, Point] | null} axis
 * @property {[Point, Point] | null} incision
 * @property {string | null} text
 * @property {string | null} incision_text
 */
import { html, nothing, svg } from "lit-html";
import { eyeName } from "./eyes.js";

/** @type {[Seat, string][]} */
export const SEATS = [
  ["head", "At the head"],
  ["side", "At the side"],
];
const PUPIL = 420;
const NUMBERS = [0, 90, 180, 270];

/**
 * @param {{ eye: Eye, view: View, axisDeg: number | null }} drawn
 */
export function axisDial({ eye, view, axisDeg }) {
  const sentence = sentenceOf(view, axisDeg);
  return html`<figure class="axis-dial">
    <svg viewBox="-1750 -1450 3500 3200" role="img" aria-label="${eyeName(eye)}, as you sit ${seatWords(view.seat)}. ${sentence}">
      <circle class="limbus" r="1000" /><circle class="pupil" r=${PUPIL} />
      ${view.words.map(({ word, at }, index) => around(word, at, NUMBERS[index] ?? 0))}
      ${view.incision ? view.incision.map(cut) : nothing}
      ${view.axis ? lens(view.axis) : nothing}
      <path class="seat" d="M-420 1440 Q0 1580 420 1440" />
      <text class="you" y="1690">you sit here</text>
    </svg>
    <figcaption>
      <h3>As you sit ${seatWords(view.seat)}</h3>
      <p class="strong">${sentence}</p>
      ${view.incision_text ? html`<p>Incision meridian. ${view.incision_text}</p>` : nothing}
      <p class="t-small soft">Angles are counted counter-clockwise, facing the patient.</p>
    </figcaption>
  </figure>`;
}

/**
 * Return in a sentence how the lens will lie.
 *
 * @param {View} view
 * @param {number | null} axisDeg
 */
export function sentenceOf(view, axisDeg) {
  if (axisDeg === null) return "No cylinder: the lens has no axis to turn to.";
  return `Lens axis ${axisDeg}. ${view.text}`;
}

/** @param {Seat} seat */
const seatWords = (seat) => `at the ${seat}`;

/**
 * @param {string} word
 * @param {Point} at
 * @param {number} degrees
 */
function around(word, [x, y], degrees) {
  const anchor = Math.abs(x) < 500 ? "middle" : x < 0 ? "end" : "start";
  return svg`<path class="tick" d="M${x} ${y}L${0.92 * x} ${0.92 * y}" />
    <text class="word" x=${1.1 * x} y=${(y > 500 ? 1.24 : 1.14) * y + 40} text-anchor=${anchor}>${word}</text>
    <text class="degree" x=${0.78 * x} y=${0.78 * y + 40}>${degrees}</text>`;
}

/** @param {[Point, Point]} ends */
function lens([[ax, ay], [bx, by]]) {
  const scale = 0.6;
  return svg`<path class="lens-axis" d="M${scale * ax} ${scale * ay}L${scale * bx} ${scale * by}" />
    <circle class="lens-end" r="70" cx=${scale * ax} cy=${scale * ay} />
    <circle class="lens-end" r="70" cx=${scale * bx} cy=${scale * by} />`;
}

/** One end of the incision's meridian; which of the two is cut is the surgeon's to say. @param {Point} at */
function cut([x, y]) {
  return svg`<path class="cut" d="M${0.9 * x} ${0.9 * y}L${1.1 * x} ${1.1 * y}" />`;
}
