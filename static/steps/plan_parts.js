/**
 * The parts of the plan summary: the verdict, what changed, and the likely lens.
 *
 * @import { Eye } from "../ui/eyes.js"
 * @import { Finding } from "../ui/findings.js"
 */
import { html, nothing } from "lit-html";
import { beamFigure } from "../ui/beam_figure.js";
import { eyeWord } from "../ui/eyes.js";
import { icon } from "../ui/icons.js";
import { cylindrical, micrometres, millimetres, ofHundred } from "../ui/numbers.js";
import { sectionHead } from "../ui/page.js";
import { QUANTITIES, slugOf } from "../ui/quantities.js";
import { ORDERED } from "../ui/states.js";
import { modelLine } from "../ui/vault_model.js";

/** States in which a request is with the surgeon or beyond, so that sending again says nothing. */
const AWAY = new Set(["queued", "approved", ...ORDERED, "implanted", "followed", "conflict"]);

/** States in which the last round ended, with a reason that the camp should read. */
const CLOSED = new Set(["stale", "declined", "cancelled"]);

/**
 * Say whether the eye can go, why not, and what the button says if it cannot be pressed.
 *
 * @param {any} plan
 * @param {any} fold
 * @returns {{ word: string, why: string, more: string, canSend: boolean, button: string | null }}
 */
export function verdict(plan, fold) {
  const stops = plan.findings.filter((/** @type {Finding} */ { level }) => level === "stop");
  const isFixed = stops.some((/** @type {Finding} */ { fixed }) => fixed === 1);
  const hasChanged = fold.changed_since.request.length > 0;
  if (AWAY.has(fold.state) && !(fold.state === "queued" && hasChanged)) {
    if (isStillHere(fold)) return no("Not yet.", "It goes as soon as the base is heard.", "Waits on this phone");
    return { ...no("It has gone.", "", "Already sent"), more: fold.state_why };
  }
  if (plan.missing.length > 0)
    return no("Not yet.", "Something is missing.", notYet(plan.missing.length));
  if (isFixed) return no("No.", "A stop stands that nobody can override.", "A stop stands");
  if (!plan.shown) return no("No.", "No lens can be shown for this eye.", "No lens to send");
  const why =
    stops.length > 0 ? "With a stop that the surgeon must decide on." : "Nothing is missing.";
  const button = AWAY.has(fold.state) ? "Send again, as it is now" : null;
  return {
    word: "Yes.",
    why,
    more: CLOSED.has(fold.state) ? fold.state_why : "",
    canSend: true,
    button,
  };
}

/**
 * Say whether what was sent last is still on this phone alone: no surgeon can see it.
 *
 * @param {any} fold
 */
export const isStillHere = (fold) => fold.state === "queued" && fold.request.received === null;

/** @param {number} number */
const notYet = (number) => `${number} still missing`;

/**
 * @param {string} word
 * @param {string} why
 * @param {string} button
 */
const no = (word, why, button) => ({ word, why, more: "", canSend: false, button });

/**
 * @param {ReturnType<typeof verdict>} answer
 * @param {any} plan
 * @param {string} id
 * @param {Eye} eye
 */
export function verdictView({ word, why, more, canSend }, plan, id, eye) {
  return html`${sectionHead("Can this eye go to the surgeon?")}
    <p class="answer">${icon(canSend ? "tick" : "note")}<span>${word} ${why}</span></p>
    ${more ? html`<p class="t-small gap-top">${more}</p>` : nothing}
    ${
      plan.missing.length === 0
        ? nothing
        : html`<ul class="rows">${plan.missing.map((/** @type {any} */ need) => missingRow(need, id, eye))}</ul>`
    }`;
}

/**
 * @param {{ kind: string, text: string }} need
 * @param {string} id
 * @param {Eye} eye
 */
function missingRow({ kind, text }, id, eye) {
  const href = placeOf(kind, id, eye);
  return html`<li>${href ? html`<a class="row" href=${href}>${text}</a>` : html`<span
    class="row">${text}</span>`}</li>`;
}

/**
 * Return where a missing thing is taken, or null where no page of this phone can.
 *
 * @param {string} kind
 * @param {string} id
 * @param {Eye} eye
 */
function placeOf(kind, id, eye) {
  if (QUANTITIES.includes(kind)) return `#/capture/${id}/${eye}/${slugOf(kind)}`;
  return kind === "history.answers" ? `#/person/${id}/answers` : null;
}

/**
 * Return what changed since the eye was sent.
 *
 * @param {any} fold
 */
export function goneSince({ changed_since: { request } }) {
  if (request.length === 0) return nothing;
  return html`${sectionHead("Changed since it was sent")}
    <ul class="rows">${request.map((/** @type {any} */ { text }) => html`<li
      class="row">${text}</li>`)}</ul>`;
}

/**
 * @param {any} plan
 * @param {Map<string, string>} names what each person is called, by user id
 */
export function likelyLens(plan, names) {
  const { shown } = plan;
  if (!shown) return nothing;
  const { lens, predicted } = shown;
  return html`${sectionHead("Likely lens, not an order")}
    <p><span class="t-value" aria-hidden="true">${cylindrical(lens)}<span
      class="unit">D</span></span>
      <span class="soft" aria-hidden="true">about</span>
      <span class="t-value" aria-hidden="true">${millimetres(lens.length_um)}<span
        class="unit">mm</span></span>
      <span class="visually-hidden">${plan.sentence || eyeWord(plan.eye)}</span></p>
    <p class="t-small">${lens.model}. Vault about ${micrometres(predicted.mean_um)} µm, 95 in 100
      between
      ${micrometres(predicted.low95_um)} and ${micrometres(predicted.high95_um)}; of 100 such eyes
        ${ofHundred(predicted.p_in_e4)}
      in the window ${plan.window_um[0]} to ${plan.window_um[1]} µm. ${plan.length_text}</p>
    ${beamFigure({ lengths: plan.lengths, windowUm: plan.window_um, chosenUm: lens.length_um })}
    ${modelLine(plan, names)}
    <p class="t-small soft">The surgeon decides; this supports and replaces no one.</p>`;
}
