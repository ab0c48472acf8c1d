/**
 * The eyes of a person with a lens in them: what was implanted, and what was found after it.
 *
 * @import { Eye } from "../ui/eyes.js"
 */
import { html, nothing } from "lit-html";
import { eyeMark, eyeWord, EYES } from "../ui/eyes.js";
import { day, moment } from "../ui/moments.js";
import { sectionHead } from "../ui/page.js";
import { FOLLOW_UPS, quantityLabel, slugOf } from "../ui/quantities.js";
import { readingShown, valueWithUnit } from "../ui/readings.js";
import { ORDERED } from "../ui/states.js";
import { count } from "../ui/words.js";
import { CALLING } from "./follow_up_due.js";
import { lensInEye } from "./lens_in_eye.js";
import { trendsOf } from "./trend.js";
import { visitsOf } from "./visits.js";

/** States in which a lens may lie in the eye by now, and nobody has said so yet. */
const MAY_BE_OPERATED = new Set(ORDERED);
/** States that the lens in the eye says by itself. */
const WITH_A_LENS = new Set(["implanted", "followed"]);

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
    const gone = surgeries.filter((/** @type {any} */ one) => one.in_eye === 0).map(explanted);
    const isOwn = surgeries.some((/** @type {any} */ { author }) => author === user);
    const amend = isOwn ? amendLink(id, eye) : nothing;
    const operate = maySign && MAY_BE_OPERATED.has(eyes[eye].state) ? surgeryLink(id, eye) : nothing;
    if (lens) return html`${followed(id, eye, lens)} ${gone} ${exchangeLink(id, eye, eyes[eye], maySign)} ${operate} ${amend}`;
    return surgeries.length > gone.length ? amend : html`${gone} ${operate} ${gone.length > 0 ? amend : nothing}`;
  });
}

/**
 * A lens that lies no longer in the eye; what was found with it stays with it.
 *
 * @param {any} surgery
 */
const explanted = ({ text, body, explanted_on, followups }) => html`<p class="t-small soft">Before: ${text},
  ${body.serial ? `serial ${body.serial}, ` : ""}in the eye from ${day(body.operated)} to ${day(explanted_on)},
  ${count(followups.length, "reading")} with it.</p>`;

/**
 * Where a surgeon weighs an exchange, and others ask for that; what was asked or decided stands above.
 *
 * @param {string} id
 * @param {Eye} eye
 * @param {any} fold of the eye
 * @param {boolean} maySign
 */
function exchangeLink(id, eye, { state, state_why: why }, maySign) {
  return html`${WITH_A_LENS.has(state) ? nothing : html`<p class="notice strong">${why}</p>`}
    <p><a class="btn wide" href="#/exchange/${id}/${eye}${maySign ? "" : "/ask"}">${eyeMark(eye)}<span>${maySign
      ? "Weigh" : "Ask to weigh"} an exchange, ${eyeWord(eye).toLowerCase()}</span></a></p>`;
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
function followed(id, eye, { body, text, followups, schedule, contacts, trends }) {
  const word = eyeWord(eye);
  return html`${sectionHead(`After surgery, ${word.toLowerCase()}`, `operated ${day(body.operated)}`)}
    <p class="t-small">${eyeMark(eye)} ${text}${body.serial ? `, serial ${body.serial}` : ""}.
      ${body.event === "none" ? "" : body.note}</p>
    ${visitsOf(word, schedule)} ${calls(id, eye, contacts, schedule.state in CALLING)}
    <p><a class="btn main wide" href="#/visit/${id}/${eye}">${eyeMark(eye)}<span>Take this visit,
      ${word.toLowerCase()}</span></a></p>
    <ul class="rows" aria-label="After surgery, ${word.toLowerCase()}">
      ${FOLLOW_UPS.map((kind) => row(id, eye, kind, followups))}
    </ul>
    ${trendsOf(word, trends)}`;
}

/**
 * Who called for a visit before, and where to write the next call down while the eye is awaited.
 *
 * @param {string} id
 * @param {Eye} eye
 * @param {any[]} contacts
 * @param {boolean} isAwaited
 */
function calls(id, eye, contacts, isAwaited) {
  const last = contacts.at(-1);
  return html`${last ? html`<p class="t-small">Called ${moment(last.wall)}, ${last.reached === "yes" ? "reached" : "not reached"}${last.comes_on ? `, comes ${day(last.comes_on)}` : ""}. ${last.text ?? ""}</p>` : nothing}
    ${isAwaited ? html`<p><a class="btn full" href="#/contact/${id}/${eye}">Write a call down</a></p>` : nothing}`;
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
