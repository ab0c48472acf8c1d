/**
 * What a page says while something is fetched or calculated, and when that failed.
 *
 * @import { TemplateResult } from "lit-html"
 */
import { html, nothing } from "lit-html";
import { findingBlock } from "./findings.js";

/**
 * A sentence instead of a spinner.
 *
 * @param {string} words
 * @returns {TemplateResult}
 */
export function waitingLine(words) {
  return html`<p class="notice soft" role="status">${words}</p>`;
}

/**
 * @param {unknown} words
 * @returns {TemplateResult}
 */
export function emptyLine(words) {
  return html`<p class="notice">${words}</p>`;
}

/**
 * Return the state of the calculation where it cannot be used, or nothing.
 *
 * @param {{ state: string, why: string | null }} core
 * @returns {TemplateResult | typeof nothing}
 */
export function coreNotice({ state, why }) {
  if (state === "ready") return nothing;
  if (state === "starting") return waitingLine("Starting the calculation, a few seconds.");
  return findingBlock({
    level: "stop",
    title: "Plans are off on this phone",
    text: `The calculation did not pass its own check: ${why ?? "no reason given"}. Readings are safe.`,
    do: "Load the app again; until then another phone or the base can make the plan.",
  });
}
