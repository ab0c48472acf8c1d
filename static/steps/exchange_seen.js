/**
 * What was asked about a lens, and what was seen of it where an exchange cannot be reckoned.
 *
 * @import { Model } from "./exchange.js"
 */
import { html } from "lit-html";
import { day, moment } from "../ui/moments.js";
import { sectionHead } from "../ui/page.js";
import { capital, nameIn } from "./case_decision.js";
import { lensInEye, openAsks } from "./lens_in_eye.js";

/** What the table of what was planned and seen holds already. */
const COMPARED = new Set(["followup.vault", "followup.refraction"]);

/**
 * @param {Model} model
 * @param {any} fold
 */
export function askedFor(model, { exchange }) {
  const name = nameIn(model);
  return openAsks(exchange).map(({ author, wall, text }) => html`<section class="notice gap-top" aria-label="Asked">
    <p><span class="strong">${capital(name(author))} asked to weigh an exchange</span>
      <span class="t-small soft">${moment(wall)}</span></p>
    <p>${capital(text)}</p></section>`);
}

/** What a vault out of its window asks to be looked at before anything is decided. */
const LOOKED_AT = [["followup.pressure", "Pressure"], ["followup.angle", "Angle"], ["followup.pupil", "Pupil"],
  ["followup.endothelial_count", "Endothelial count"]];

/** @param {any} plan */
export function seenSection({ implant, missing }) {
  return html`${sectionHead("What was seen")}
    <p class="t-small">In the eye since ${day(implant.operated)}: <span class="strong">${implant.text}</span></p>
    <p class="t-small">Another lens cannot be weighed; missing for that:</p>
    <ul class="t-small">${missing.map((/** @type {any} */ { text }) => html`<li>${text}</li>`)}</ul>
    <p class="t-small">Watching it, the cornea and taking it out are decided on what was seen.</p>`;
}

/**
 * The newest of every quantity read with this lens, and what of the eye's safety was not read;
 * those compared above are left out there.
 *
 * @param {any} plan
 * @param {any} fold
 */
export function alsoFound({ possible }, fold) {
  const { followups = [] } = lensInEye(fold) ?? {};
  const shown = followups.filter((/** @type {any} */ { kind }) => !possible || !COMPARED.has(kind));
  const newest = [...new Map(shown.map((/** @type {any} */ one) => [one.kind, one])).values()];
  const unread = LOOKED_AT.filter(([kind]) => newest.every((/** @type {any} */ one) => one.kind !== kind));
  return html`<table class="grid also"><caption class="t-small soft">${possible ? "Also found" : "Found"} with this lens, the newest of each</caption>
    <tbody>${newest.map(({ word, text, days }) => html`<tr><th scope="row">${word}</th><td>${text}</td>
      <td class="soft nowrap">day ${days}</td></tr>`)}
    ${unread.map(([, word]) => html`<tr><th scope="row">${word} after surgery</th><td class="strong" colspan="2">Not read with this lens</td></tr>`)}</tbody></table>`;
}
