/**
 * The box beside the order, row by row, with a word for each outcome: never by colour alone.
 *
 * @import { Eye } from "../ui/eyes.js"
 */
import { html, nothing } from "lit-html";
import { eyeWord } from "../ui/eyes.js";
import { day } from "../ui/moments.js";

/** @type {Record<string, [string, string]>} */
const MARKS = {
  agrees: ["=", "the same"],
  differs: ["≠", "different"],
  cannot_tell: ["?", "not told yet"],
};

/**
 * @param {any[]} rows of the core's comparison
 * @param {Eye} eye
 */
export function rowsTable(rows, eye) {
  return html`<table class="theatre-rows">
    <caption class="visually-hidden">The box beside the order, ${eyeWord(eye).toLowerCase()}</caption>
    <thead><tr><th scope="col">Field</th><th scope="col" class="end">Ordered and released</th><th><span
      class="visually-hidden">Comparison</span></th><th scope="col">Here in theatre</th></tr></thead>
    <tbody>${rows.map(rowLine)}</tbody>
  </table>`;
}

/** What nobody reads in theatre figure by figure is no sameness of this box: two read it at the base. */
const AT_BASE = ["\u00b7", "compared at the base, not here"];

/** @param {any} row */
function rowLine({ name, ordered, released, code, first, second, outcome, text }) {
  const read = readHere({ code, first, second });
  const atBase = read === null && ordered !== null && released !== null;
  const [mark, word] = (atBase && outcome === "agrees" ? AT_BASE : MARKS[outcome]) ?? ["?", "not told yet"];
  return html`<tr class=${outcome}>
    <th scope="row">${name}</th>
    <td class="end t-value">${worded(ordered ?? released) ?? "as shown"}</td>
    <td class="mark"><span aria-hidden="true">${mark}</span><span class="visually-hidden">${word}</span></td>
    <td class="t-value">${read ?? (atBase ? html`<span class="t-small soft">at the base: ${worded(released)}</span>` : "_")}
      ${text ? html`<span class="t-small why">${text}</span>` : nothing}</td>
  </tr>`;
}

/**
 * Return what was read of the box here, by its code or by people; null where nothing was. Readings
 * that differ all stand.
 *
 * @param {{ code: string | null, first: string | null, second: string | null }} row
 */
export function readHere({ code, first, second }) {
  const read = [...new Set([code, first, second].filter((text) => text !== null))];
  return read.map(worded).join(" / ") || null;
}

/**
 * A date in words, so that nobody takes the day for the month; a number and its unit on one line.
 *
 * @param {string | null} text
 */
function worded(text) {
  if (text === null) return null;
  return /^\d{4}-\d{2}-\d{2}$/.test(text) ? day(text) : text.replace(/ (?=(?:D|mm)$)/, "\u00a0");
}
