/**
 * What the first eye taught: predicted, found, and how that moved this eye's prediction.
 */
import { html, nothing } from "lit-html";
import { micrometres } from "../ui/numbers.js";
import { sectionHead } from "../ui/page.js";

/**
 * @param {any} plan
 */
export function firstEye({ fellow }) {
  if (!fellow) return nothing;
  const { lines, change, not_moved: why } = fellow;
  return html`${sectionHead("First eye’s outcome")}
    <ul class="t-small" id="first-eye">${lines.map((/** @type {string} */ line) => html`<li>${line}</li>`)}</ul>
    ${change ? moved(change) : nothing}
    ${why ? html`<p class="t-small">It does not move this eye’s prediction: ${why}.</p>` : nothing}`;
}

/** @param {{ from_um: number, to_um: number, text: string }} change */
function moved({ from_um, to_um, text }) {
  return html`<p>It moved this eye’s vault from <span class="nowrap">${micrometres(from_um)} µm</span> to
      <span class="strong nowrap">${micrometres(to_um)} µm</span>.</p>
    <p class="t-small soft">${text} The step stands in the working.</p>`;
}
