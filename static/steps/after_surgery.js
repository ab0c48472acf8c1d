/**
 * The eyes of a person with a lens in them: what was implanted, and what was found after it.
 *
 * @import { Eye } from "../ui/eyes.js"
 */
import { html, nothing } from "lit-html";
import { eyeMark, eyeWord, EYES } from "../ui/eyes.js";
import { day } from "../ui/moments.js";
import { sectionHead } from "../ui/page.js";
import { FOLLOW_UPS, quantityLabel, slugOf } from "../ui/quantities.js";
import { readingShown, valueWithUnit } from "../ui/readings.js";
import { ORDERED } from "../ui/states.js";
import { trendsOf } from "./trend.js";
import { visitsOf } from "./visits.js";

/** States in which a lens may lie in the eye by now, and nobody has said so yet. */
const MAY_BE_OPERATED = new Set(ORDERED);

/**
 * @param {string} id the person
 * @param {Record<Eye, any>} eyes
 * @param {string} user who looks
 * @param {boolean} maySign whether who looks may record a surgery
 */
export function afterSurgery(id, eyes, user, maySign) {
  return EYES.map((eye) => {
    const { surgeries } = eyes[eye];
    const lens = lensInEye(eyes[eye]);
    const isOwn = surgeries.some((/** @type {any} */ { author }) => author === user);
    const amend = isOwn ? amendLink(id, eye) : nothing;
    if (lens) return html`${followed(id, eye, lens)} ${amend}`;
    if (surgeries.length > 0) return amend;
    return maySign && MAY_BE_OPERATED.has(eyes[eye].state) ? surgeryLink(id, eye) : nothing;
  });
}

/**
 * Return the surgery of the lens in an eye; null where there is none, or more than one stands.
 *
 * @param {any} eye of a fold
 */
export function lensInEye({ surgeries }) {
  const inEye = surgeries.filter((/** @type {any} */ { in_eye }) => in_eye !== 0);
  return inEye.length === 1 ? inEye[0] : null;
}

/**
 * @param {string} id
 * @param {Eye} eye
 */
export const surgeryLink = (id, eye) => html`<p class="gap-top"><a class="btn wide" href="#/surgery/${id}/${eye}">
  ${eyeMark(eye)}<span>Record the surgery, ${eyeWord(eye).toLowerCase()}</span></a></p>`;

/**
 * @param {string} id
 * @param {Eye} eye
 */
const amendLink = (id, eye) => html`<p class="t-small"><a class="link" href="#/surgery/${id}/${eye}">Correct
  or withdraw the surgery, ${eyeWord(eye).toLowerCase()}</a></p>`;

/**
 * @param {string} id
 * @param {Eye} eye
 * @param {any} surgery
 */
function followed(id, eye, { body, text, followups, schedule, trends }) {
  const word = eyeWord(eye);
  return html`${sectionHead(`After surgery, ${word.toLowerCase()}`, `operated ${day(body.operated)}`)}
    <p class="t-small">${eyeMark(eye)} ${text}${body.serial ? `, serial ${body.serial}` : ""}.
      ${body.event === "none" ? "" : body.note}</p>
    ${visitsOf(word, schedule)}
    <p><a class="btn main wide" href="#/visit/${id}/${eye}">${eyeMark(eye)}<span>Take this visit,
      ${word.toLowerCase()}</span></a></p>
    <ul class="rows" aria-label="After surgery, ${word.toLowerCase()}">
      ${FOLLOW_UPS.map((kind) => row(id, eye, kind, followups))}
    </ul>
    ${trendsOf(word, trends)}`;
}

/**
 * @param {string} id
 * @param {Eye} eye
 * @param {string} kind
 * @param {any[]} followups
 */
function row(id, eye, kind, followups) {
  const found = followups.filter((one) => one.kind === kind);
  const newest = found.at(-1);
  return html`<li><a class="row" href="#/capture/${id}/${eye}/${slugOf(kind)}">
    <span class="t-small soft">${quantityLabel(kind)}</span>
    ${newest ? taken(newest, found.length) : html`<span class="meta">not yet read</span>`}
  </a></li>`;
}

/**
 * @param {any} newest
 * @param {number} count
 */
function taken({ kind, body, days }, count) {
  const shown = readingShown(kind, body);
  const more = count > 1 ? `, ${count} in all` : "";
  return html`<div>${valueWithUnit(shown)}</div>
    <div class="meta">${shown.note ? `${shown.note}, ` : ""}day ${days}${more}</div>`;
}
