/**
 * The readings of one quantity and eye side by side, with their spread, and what can be done next.
 *
 * @import { Acts } from "./capture_acts.js"
 * @import { Model } from "./capture_model.js"
 * @import { Entry } from "../store/journal.js"
 * @import { Finding } from "../ui/findings.js"
 */
import { html, nothing } from "lit-html";
import { eyeWord } from "../ui/eyes.js";
import { findingList } from "../ui/findings.js";
import { keptLine, notKeptLine } from "../ui/kept_line.js";
import { moment } from "../ui/moments.js";
import { FOLLOW_UPS, isFollowUp, QUANTITIES, quantityLabel, slugOf } from "../ui/quantities.js";
import { readingShown, valueWithUnit } from "../ui/readings.js";
import { slits } from "../ui/slits.js";
import { tag } from "../ui/states.js";
import { emptyLine } from "../ui/waiting.js";

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function readingsView(model, acts) {
  const { readings, kept, trouble } = model;
  return html`<div class="gap-top">
      ${kept ? keptLine(kept.instant, kept.sentence) : nothing}
      ${trouble ? notKeptLine(trouble) : nothing} ${findingsHere(model)}
      <div class="section-head">
        <h2>${quantityLabel(model.kind)}</h2>
        <span class="t-micro soft">${slits(readings.length, isWanted(model) ? 1 : 0)}
          ${spreadWords(model)}</span>
      </div>
      ${readings.length === 0 ? emptyLine("No reading stands here.") : nothing}
      <ol class="rows">${readings.map((reading, index) => readingRow(model, reading, index, acts))}</ol>
      ${unreadWords(model)}
    </div>
    <div class="dock column">${nextButtons(model, acts)}</div>`;
}

/**
 * Return what the calculation says against these readings, while the person is still here.
 *
 * @param {Model} model
 */
function findingsHere(model) {
  const here = ofThese(model);
  return here.length === 0 ? nothing : html`<div class="gap-top">${findingList(here)}</div>`;
}

/** @param {Model} model */
const stopsHere = (model) => ofThese(model).some(({ level }) => level === "stop");

/**
 * @param {Model} model
 * @returns {Finding[]}
 */
function ofThese({ eyeFold, readings }) {
  const ids = new Set(readings.map(({ id }) => id));
  /** @type {Finding[]} */
  const all = eyeFold?.findings ?? [];
  const isOfThese = (/** @type {string} */ id) => ids.has(id);
  return all.filter(({ level, records }) => {
    // A caution that rests on other things as well stands on the person's page.
    if (level === "stop") return records.some(isOfThese);
    return level === "caution" && records.length > 1 && records.every(isOfThese);
  });
}

/**
 * @param {Model} model
 * @param {Entry} reading
 * @param {number} index
 * @param {Acts} acts
 */
function readingRow({ kind, identity }, { id, payload }, index, acts) {
  const row = readingShown(kind, payload.body);
  const isOwn = payload.author === identity.user.id;
  const who = isOwn ? identity.user.name : "a colleague";
  const notes = [row.note, payload.body.device, who, moment(payload.body.taken)]
    .filter(Boolean)
    .join(", ");
  const name = `reading ${index + 1}`;
  return html`<li class="row">
    <div>${valueWithUnit(row)}</div>
    <div class="meta">${notes}${payload.reason ? `, corrected: ${payload.reason}` : ""}</div>
    ${
      isOwn
        ? html`<div class="btn-row gap-top">
          <button type="button" class="btn small" @click=${() => acts.correct(id)}>Correct<span
            class="visually-hidden"> ${name}</span></button>
          <button type="button" class="btn small"
            @click=${() => acts.ask("withdraw", id)}>Withdraw<span class="visually-hidden">
            ${name}</span></button>
        </div>`
        : nothing
    }
  </li>`;
}

/** @param {Model} model */
function isWanted({ eyeFold, kind }) {
  return Boolean(eyeFold?.wanted.some((/** @type {any} */ need) => need.kind === kind));
}

/** @param {Model} model */
function spreadWords({ eyeFold, kind, readings }) {
  const group = eyeFold?.readings.find((/** @type {any} */ reading) => reading.kind === kind);
  if (group?.spread_text && group.entries.length === readings.length) {
    return group.apart ? tag("caution", "caution", group.spread_text) : group.spread_text;
  }
  return "";
}

/** @param {Model} model */
function unreadWords({ eyeFold, kind }) {
  /** @type {{ kind: string, text: string }[]} */
  const unread = eyeFold?.unread ?? [];
  const here = unread.filter((entry) => entry.kind === kind);
  return here.map(({ text }) => html`<p class="t-small soft">Could not be read: ${text}</p>`);
}

/**
 * What can be done next. Each keeps its place above the edge, whatever the calculation says a moment
 * later: nothing changes under a finger.
 *
 * @param {Model} model
 * @param {Acts} acts
 */
function nextButtons(model, acts) {
  const { id, eye, kept, person, readings } = model;
  const isAgain = isWanted(model) || (readings.length === 0 && !kept);
  const next = isAgain ? null : nextKind(model);
  const looks = (/** @type {boolean} */ isMain) => `btn ${isMain ? "main" : ""}`;
  // A stop is to be settled here first; going on stays possible, but is not what is offered first.
  return html`${next
    ? html`<a class=${looks(!stopsHere(model))} href="#/capture/${id}/${eye}/${slugOf(next)}">
      Next: ${quantityLabel(next).toLowerCase()}, ${eyeWord(eye).toLowerCase()}</a>`
    : nothing}
    <button type="button" class=${looks(isAgain)} @click=${() => acts.again()}>
      ${readings.length === 0 ? "Take a reading" : `Take reading ${readings.length + 1}, blind`}</button>
    <a class=${looks(!isAgain && !next)} href="#/person/${id}">Back to ${person?.name}</a>`;
}

/** @param {Model} model */
function nextKind({ eyeFold, kind }) {
  if (isFollowUp(kind)) return FOLLOW_UPS[FOLLOW_UPS.indexOf(kind) + 1] ?? null;
  /** @type {string[]} */
  const missing = (eyeFold?.missing ?? []).map((/** @type {any} */ need) => need.kind);
  return QUANTITIES.find((quantity) => quantity !== kind && missing.includes(quantity));
}
