/**
 * What came after the order, and the surgeon's answer: keep it, cancel it, or plan again.
 *
 * @import { Acts, Model } from "./case.js"
 */
import { html, nothing } from "lit-html";
import { moment } from "../ui/moments.js";
import { confirmForm, keepConfirmed } from "./case_confirm.js";
import { capital, nameIn } from "./case_decision.js";

/** @type {[string, string][]} */
const ANSWERS = [
  ["keep", "Keep the order as it is"],
  ["cancel", "Cancel the order; no lens for now"],
  ["plan_again", "Cancel the order and plan this eye again"],
];
/** @type {Record<string, string>} */
const SAID = {
  keep: "keeps the order",
  cancel: "wants the order cancelled",
  plan_again: "wants the order cancelled and the eye planned again",
};

/**
 * Say whether a surgeon has to answer now.
 *
 * @param {any} fold
 */
export const asksForAnswer = ({ late }) => late?.next === "answer";

/**
 * What was answered so far; what is not answered stands above it as a finding.
 *
 * @param {Model} model
 * @param {any} fold
 */
export function lateAnswers(model, { late }) {
  if (!late || late.answers.length === 0) return nothing;
  const name = nameIn(model);
  return html`<div class="notice stack tight">${late.answers.map((/** @type {any} */ { author, wall, answer, reason }) => html`<p>
    <span class="strong">${capital(name(author))} ${SAID[answer]}</span>
    <span class="t-small soft">${moment(wall)}</span></p><p class="quoted">“${reason}”</p>`)}</div>`;
}

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
export function lateBody(model, fold, acts) {
  const isOwn = hasOwnRecord(model, fold);
  return html`<h2 class="t-title">Changed after the order</h2>
    <ul class="t-small">${fold.late.unanswered.map((/** @type {any} */ { text }) => html`<li>${text}</li>`)}</ul>
    ${isOwn ? html`<p class="t-small strong">One of these records is yours. Only another surgeon can keep the order against it.</p>` : nothing}
    ${confirmForm(model, {
      ...{ sheet: "late", question: `Order ${fold.order.number}`, button: "Keep this answer" },
      choices: isOwn ? ANSWERS.filter(([code]) => code !== "keep") : ANSWERS,
      hint: "The base reads this. Whatever comes after your answer asks again.",
      keep: () => void answer(model, fold, acts),
    }, acts)}`;
}

/**
 * The records that ask for an answer, each once.
 *
 * @param {any} late
 * @returns {Set<string>}
 */
const recordsOf = ({ unanswered }) =>
  new Set(unanswered.map((/** @type {any} */ { record }) => record));

/**
 * @param {Model} model
 * @param {any} fold
 */
export function hasOwnRecord({ casefile, identity }, { late }) {
  const seen = recordsOf(late);
  const entries = casefile?.entries ?? [];
  return entries.some(({ id, payload }) => seen.has(id) && payload.author === identity.user.id);
}

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
function answer(model, { late }, acts) {
  const body = { order: late.order, seen: [...recordsOf(late)].sort(), answer: model.chosen };
  const sentence = "your answer goes to the base.";
  return keepConfirmed(model, { sheet: "late", kind: "late.answered", body, sentence }, acts);
}
