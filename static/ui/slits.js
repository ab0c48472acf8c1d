/**
 * Readings counted as slits: solid is taken, hollow is still wanted, broken is withdrawn.
 *
 * @import { TemplateResult } from "lit-html"
 */
import { html } from "lit-html";
import { count } from "./words.js";

/**
 * @param {number} taken
 * @param {number} [wanted]
 * @param {number} [withdrawn]
 * @returns {TemplateResult}
 */
export function slits(taken, wanted = 0, withdrawn = 0) {
  const marks = [
    ...Array(taken).fill(""),
    ...Array(withdrawn).fill("off"),
    ...Array(wanted).fill("want"),
  ];
  return html`<span class="slits" role="img" aria-label=${slitWords(taken, wanted, withdrawn)}
    >${marks.map((mark) => html`<i class=${mark}></i>`)}</span>`;
}

/**
 * Return the same count in words: "2 readings taken, 1 more wanted".
 *
 * @param {number} taken
 * @param {number} [wanted]
 * @param {number} [withdrawn]
 * @returns {string}
 */
export function slitWords(taken, wanted = 0, withdrawn = 0) {
  const parts = [`${count(taken, "reading")} taken`];
  if (wanted > 0) parts.push(`${wanted} more wanted`);
  if (withdrawn > 0) parts.push(`${withdrawn} withdrawn`);
  return parts.join(", ");
}
