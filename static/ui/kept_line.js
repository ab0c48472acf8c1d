/**
 * The line that says what was stored, in the place where the value was read back.
 *
 * @import { TemplateResult } from "lit-html"
 */
import { html } from "lit-html";
import { icon } from "./icons.js";
import { clock } from "./moments.js";

/**
 * @param {string} instant when it was kept
 * @param {string} sentence made from what was read back from the store
 * @returns {TemplateResult}
 */
export function keptLine(instant, sentence) {
  return html`<p class="kept-line" role="status">Kept ${clock(instant)}. ${sentence}</p>`;
}

/**
 * Return the line for what was not stored: what was typed stays, and what to do is said.
 *
 * @param {string} message
 * @returns {TemplateResult}
 */
export function notKeptLine(message) {
  return html`<div class="finding caution" role="alert">
    ${icon("caution")}
    <div class="title"><span class="level">Not saved.</span> Your value is still here.</div>
    <p>${message}</p>
  </div>`;
}
