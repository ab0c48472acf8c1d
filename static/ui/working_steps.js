/**
 * The working of a plan as numbered steps: formula, what goes in, what comes out, the source.
 *
 * @import { TemplateResult } from "lit-html"
 * @typedef {{ name: string, text: string }} Named
 * @typedef {object} WorkingStep
 * @property {string} title
 * @property {string} formula
 * @property {string} spoken the formula as it is read aloud
 * @property {Named[]} inputs
 * @property {Named[]} gives
 * @property {string} source
 * @typedef {{ name: string, gives: string, formula: string, inputs: Named[], about: string }} Comparator
 */
import { html, nothing } from "lit-html";

/**
 * Return the steps in order.
 *
 * @param {WorkingStep[]} steps
 * @returns {TemplateResult}
 */
export function workingSteps(steps) {
  return html`<ol class="working">${steps.map(oneStep)}</ol>`;
}

/**
 * @param {WorkingStep} step
 * @param {number} index
 */
function oneStep({ title, formula, spoken, inputs, gives, source }, index) {
  return html`<li>
    <h2><span class="number">${index + 1}</span> ${title}</h2>
    <p class="formula"><span aria-hidden="true">${withSubscripts(formula)}</span><span
      class="visually-hidden">${spoken}</span></p>
    <dl class="inputs">${inputs.map(pair)}</dl>
    <p class="t-small gives-word">gives</p>
    <dl class="gives">${gives.map(pair)}</dl>
    <p class="t-micro soft">${source}</p>
  </li>`;
}

/**
 * Return published equations beside the working, folded; nothing where none has all its inputs.
 *
 * @param {{ title: string, lines: Comparator[] }} comparators
 */
export function comparatorsFolded({ title, lines }) {
  if (lines.length === 0) return nothing;
  return html`<details class="more-findings"><summary>${title}</summary>
    <ul class="rows">${lines.map(oneComparator)}</ul></details>`;
}

/** @param {Comparator} comparator */
function oneComparator({ name, gives, formula, inputs, about }) {
  const from = inputs.map((one) => `${one.name} ${one.text}`).join(", ");
  return html`<li class="row t-small"><p>${name}: ${gives}</p>
    <p class="soft">${formula}; ${from}</p><p class="t-micro soft">${about}</p></li>`;
}

/** @param {Named} named */
function pair({ name, text }) {
  return html`<div><dt>${withSubscripts(name)}</dt><dd>${text}</dd></div>`;
}

/**
 * Return a formula in pieces: plain text, then what stands below the line, in turn.
 *
 * @param {string} text such as "F_c = F_s (I − V F_s)"
 * @returns {string[]}
 */
export function pieces(text) {
  return text.split(/_([A-Za-z]+)/u);
}

/** @param {string} text */
function withSubscripts(text) {
  return pieces(text).map((piece, index) => (index % 2 === 1 ? html`<sub>${piece}</sub>` : piece));
}
