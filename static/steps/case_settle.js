/**
 * Decisions that contradict each other: side by side, what differs, and a third surgeon's choice.
 *
 * @import { Acts, Model } from "./case.js"
 */
import { html, nothing } from "lit-html";
import { moment } from "../ui/moments.js";
import { confirmForm, keepConfirmed } from "./case_confirm.js";
import { capital, decidedFor, nameIn } from "./case_decision.js";
import { ROWS } from "./case_stale.js";

const NONE = "none";

/**
 * Return the decisions that contradict each other, approvals first.
 *
 * @param {any} fold
 * @returns {any[]}
 */
export function contradictory({ approvals, declines, contradicting }) {
  const named = new Set(contradicting);
  return [...approvals, ...declines].filter(({ id }) => named.has(id));
}

/**
 * Say whether this surgeon gave none of them, so that they may settle between them.
 *
 * @param {any} fold
 * @param {string} userId
 */
export function maySettle(fold, userId) {
  const against = contradictory(fold);
  return fold.state === "conflict" && against.length > 1 && against.every(({ author }) => author !== userId);
}

/**
 * @param {Model} model
 * @param {any} fold
 */
export function sideBySide(model, fold) {
  if (fold.state !== "conflict") return nothing;
  const [against, name] = [contradictory(fold), nameIn(model)];
  const mayDecide = maySettle(fold, model.identity.user.id);
  return html`<div class="scroller" tabindex="0" role="group" aria-label="Decisions side by side"><table class="grid decisions">
    <thead><tr><td></td>${against.map(({ author, wall }) => html`<th scope="col">${capital(name(author))}<br /><span class="soft">${moment(wall)}</span></th>`)}</tr></thead>
    <tbody>${differences(against).map(({ label, texts }) => html`<tr><th scope="row">${label}</th>${texts.map((text) => html`<td class="strong">${text}</td>`)}</tr>`)}</tbody>
  </table></div>
  <p class="t-small">${mayDecide
    ? "You gave none of them: read the eye, then settle which one counts, or that none does."
    : "Nothing can be ordered. A surgeon who gave none of them settles it; or agree, and whoever decided in error takes it back."}</p>`;
}

/**
 * Return the rows in which the decisions differ: each value behind approvals, after what was decided
 * where one is no approval.
 *
 * @param {any[]} against
 * @returns {{ label: string, texts: string[] }[]}
 */
export function differences(against) {
  const unlike = against.some(({ shown, implant }) => !shown || implant);
  const decided = unlike ? [{ label: "Decided", texts: against.map(decidedText) }] : [];
  const behind = ROWS.map(([label, write]) => ({ label, texts: against.map(({ shown }) => (shown ? write(shown) : "none")) }));
  return [...decided, ...behind.filter(({ texts }) => new Set(texts).size > 1)];
}

/** @param {any} decision */
const decidedText = (decision) => (decision.shown ? decidedFor(decision) : `Declined: “${decision.text}”`);

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
export function settleBody(model, fold, acts) {
  const name = nameIn(model);
  /** @type {[string, string][]} */
  const choices = contradictory(fold).map((one) => [one.id, `${decidedText(one)}, by ${name(one.author)}`]);
  return html`<h2 class="t-title">Settle the contradiction</h2>
    ${confirmForm(model, {
      ...{ sheet: "settle", question: "Which decision counts?", button: "Settle it" },
      choices: [...choices, [NONE, "None of them; the eye is decided again"]],
      hint: "Both surgeons, the camp and the base read this. What is not kept no longer stands.",
      keep: () => void settle(model, fold, acts),
    }, acts)}`;
}

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
function settle(model, { contradicting }, acts) {
  const body = { decisions: contradicting, kept: model.chosen === NONE ? null : model.chosen };
  const sentence = "settled. The base can order only what you kept.";
  return keepConfirmed(model, { sheet: "settle", kind: "decision.settled", body, sentence }, acts);
}
