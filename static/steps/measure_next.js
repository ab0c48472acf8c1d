/**
 * What to measure next: what one more reading is expected to do, from the calculation core.
 *
 * @import { Eye } from "../ui/eyes.js"
 * @typedef {object} Line
 * @property {string} kind
 * @property {string} what
 * @property {string} about
 * @property {string} text
 */
import { html, nothing } from "lit-html";
import { sectionHead } from "../ui/page.js";
import { QUANTITIES, slugOf } from "../ui/quantities.js";

const MOST = 3;

/**
 * Return at most three readings worth taking while the person is here; silent where nothing is.
 *
 * Those that the plan would gain by come first; then what is asked for as a guard against slips.
 *
 * @param {any} plan
 * @param {{ kind: string, text: string }[]} wanted
 * @param {string} id
 * @param {Eye} eye
 */
export function measureNext({ measure_next: { lines, not_worth } }, wanted, id, eye) {
  const gained = new Set(lines.map((/** @type {Line} */ { kind }) => kind));
  const others = wanted.filter(({ kind }) => !gained.has(kind)).slice(0, MOST - lines.length);
  if (lines.length + others.length === 0) return nothing;
  return html`${sectionHead("What to measure next", "while the person is here")}
    <ul class="rows">
      ${lines.map((/** @type {Line} */ line) => row(line.kind, id, eye, gainWords(line)))}
      ${others.map(({ kind, text }) => row(kind, id, eye, text))}
    </ul>
    ${not_worth ? html`<p class="t-small soft">${not_worth}</p>` : nothing}`;
}

/**
 * Return for the surgeon what would make the plan surer, and so whom to call in again.
 *
 * @param {any} plan
 */
export function surerWith({ measure_next: { lines, not_worth } }) {
  if (lines.length === 0) return nothing;
  return html`${sectionHead("What would make it surer")}
    <ul class="rows">${lines.map((/** @type {Line} */ line) => html`<li class="row">${gainWords(line)}</li>`)}</ul>
    ${not_worth ? html`<p class="t-small soft">${not_worth}</p>` : nothing}`;
}

/**
 * "Sulcus scan", then what is uncertain and by how much it would change.
 *
 * @param {Line} line
 */
function gainWords({ what, about, text }) {
  return html`<span><span class="strong">${what}</span><br /><span
    class="t-small">${capital(about)}: <span class="strong">${text.slice(what.length + 2)}</span></span></span>`;
}

/** @param {string} text */
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/**
 * @param {string} kind
 * @param {string} id
 * @param {Eye} eye
 * @param {unknown} words
 */
function row(kind, id, eye, words) {
  if (!QUANTITIES.includes(kind)) return html`<li><span class="row">${words}</span></li>`;
  return html`<li><a class="row" href="#/capture/${id}/${eye}/${slugOf(kind)}">${words}</a></li>`;
}
