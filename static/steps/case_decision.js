/**
 * What was decided on an eye, by whom and when, and whether the base has it and agrees.
 *
 * @import { Model } from "./case.js"
 */
import { html, nothing } from "lit-html";
import { findingBlock } from "../ui/findings.js";
import { moment } from "../ui/moments.js";
import { millimetres, ofHundred } from "../ui/numbers.js";
import { powerText } from "../ui/power.js";
import { choicesOf } from "../ui/quantities.js";
import { stateTag } from "../ui/states.js";
import { backupLine } from "./case_backup.js";
import { isOfDecisions } from "./case_contradictions.js";
import { checkCode, isOver } from "./case_gate.js";

/**
 * @param {Model} model
 * @param {any} fold
 */
export function decisionSection(model, fold) {
  return html`${stateLine(model, fold)} ${contradictions(fold)}
    ${baseCheck(model)} ${questionLines(model, fold)} ${takenBack(model, fold)}`;
}

/**
 * @param {Model} model
 * @param {any} fold
 */
function stateLine(model, fold) {
  const write = WRITERS[fold.state];
  if (!write || !(fold.request || fold.exchange)) return nothing;
  const atBase = fold.approval ? fold.approval.received !== null : true;
  return html`<div class="decided gap-top"><p>${stateTag(fold.state, { atBase })}</p>${write(fold, nameIn(model), model)}</div>`;
}

/** @typedef {(user: string) => string} NameOf */

/**
 * Return how people are called: oneself is "you", an unknown one a colleague.
 *
 * @param {Pick<Model, "names" | "identity">} model
 * @returns {NameOf}
 */
export function nameIn({ names, identity }) {
  return (user) => (user === identity.user.id ? "you" : names.get(user) ?? "a colleague");
}

/** @type {Record<string, (fold: any, name: NameOf, model: Model) => unknown>} */
const WRITERS = {
  approved: ({ approval }, name) => html`${approvedLines(approval, name)}
    ${approval.received === null
      ? html`<p class="t-small strong">It is kept on this phone and goes with the next exchange. Nothing can be ordered before it has arrived at the base.</p>`
      : html`<p class="t-small">It has arrived at the base.</p>`}`,
  ordered: orderLines,
  confirmed: orderLines,
  received: orderLines,
  verified: orderLines,
  implanted: (fold, _name, model) => implantedLines(fold, model),
  followed: (fold, _name, model) => implantedLines(fold, model),
  declined: ({ decline }, name) => html`<p class="t-small">Declined by ${name(decline.author)}, ${moment(decline.wall)}:</p>
    <p class="quoted">“${decline.text}”</p>`,
  cancelled: ({ order }) => html`<p class="t-small">Order ${order.number} was cancelled at the base:</p>
    <p class="quoted">“${order.cancelled ?? "no reason was given"}”</p>
    <p class="t-small">Its approval served once. The camp sends the eye again for a new plan.</p>`,
  exchange_considered: ({ state_why: why, approval }, name) => html`<p class="strong">${why}</p>
    ${approval?.implant ? html`<p class="t-small">Decided by ${name(approval.author)}, ${moment(approval.wall)}.</p>` : nothing}`,
  conflict: () => html`<p class="strong">Two decisions on this eye contradict each other.</p>`,
};

/**
 * @param {any} fold
 * @param {NameOf} name
 * @param {Model} model
 */
function orderLines({ approval, order, backup }, name, model) {
  return html`<p class="strong">Order number ${order.number}</p>
    <p class="t-small">${order.progress.words}</p>
    <p class="t-small">${order.supplier_reference ? `Supplier’s reference ${order.supplier_reference}. ` : ""}Placed ${moment(order.wall)}.</p>
    ${approval ? approvedLines(approval, name) : nothing}
    ${backup ? html`<p><a class="link" href="#/theatre/${model.id}/${model.eye}/backup">Which of both lenses is released</a></p>` : nothing}
    ${recordSurgery(model)}`;
}

/** @param {Model} model */
const recordSurgery = ({ id, eye }) => html`<p><a class="btn" href="#/surgery/${id}/${eye}">Record the surgery</a></p>`;

/**
 * @param {any} fold
 * @param {Model} model
 */
function implantedLines({ state_why: why }, { id }) {
  return html`<p class="strong">${why}</p>
    <p class="t-small"><a class="link" href="#/person/${id}">What was found after surgery</a></p>`;
}

/**
 * @param {any} approval
 * @param {NameOf} name
 */
function approvedLines({ shown, author, wall, digest, implant, backup }, name) {
  return html`<p class="t-value">${lensText(shown.lens)}</p>${backupLine({ backup })}
    <p class="t-small">${shown.lens.model}. ${implant ? "In place of the lens in the eye, decided" : "Approved"} by ${name(author)}, ${moment(wall)}. Of 100 such eyes
      ${ofHundred(shown.predicted.p_in_e4)} in the window; leaves <span class="nowrap">${powerText(shown.predicted)}</span>.</p>
    <p class="t-micro soft">Check code <code>${checkCode(digest)}</code>, as on the order.</p>`;
}

/** @param {any} lens */
export const lensText = (lens) => `${powerText(lens)}, ${millimetres(lens.length_um)} mm`;

/**
 * Return what a decision was for: its lens, or what was decided about the one in the eye.
 *
 * @param {any} decision of a fold
 */
export function decidedFor({ shown, decision }) {
  const words = new Map(choicesOf("exchange.decided", "decision")).get(decision);
  return [words, shown.lens ? lensText(shown.lens) : null].filter(Boolean).join(": ");
}

/** @param {any} fold */
function contradictions({ state, findings }) {
  if (state === "conflict") return nothing;
  return findings.filter(isOfDecisions).map((/** @type {any} */ finding) => findingBlock(finding));
}

/**
 * The base computes each plan again; a difference stops the eye, whatever its cause.
 *
 * @param {Model} model
 */
function baseCheck({ checks }) {
  const made = [checks.approval, checks.request];
  const differing = made.find((check) => check?.result === "differs");
  if (!differing) return unknownCore(made.find((check) => check?.result === "unknown_core"));
  return html`<div id="base-check" tabindex="-1" class="gap-top">${findingBlock({
    ...{ level: "stop", title: "The base calculates otherwise", text: differing.text },
    do: "Don’t decide on this plan. Tell the base; load the app again, and have the camp send the eye again.",
  })}</div>`;
}

/**
 * A calculation that was never at the base: nothing is ordered from its plan, so the surgeon's own
 * app must be one that the base knows.
 *
 * @param {import("../sync/status.js").Check | null | undefined} check
 */
export function unknownCore(check) {
  if (!check) return nothing;
  return html`<div id="base-check" tabindex="-1" class="gap-top">${findingBlock({
    ...{ level: "caution", title: "The base does not know the calculation", text: check.text },
    do: "Load the newest app on this phone before you decide: the base orders from no such plan.",
  })}</div>`;
}

/**
 * The quiet line at the end where the base agrees. What was approved counts before what was sent:
 * the surgeon may have taken another lens.
 *
 * @param {Model} model
 */
export function agreementLine({ checks: { approval, request, hasApproval } }) {
  const [check, what] = hasApproval ? [approval, "what was approved"] : [request, "what the camp sent"];
  if (check?.result !== "agrees") return nothing;
  return html`<p class="t-small soft gap-top">The base calculated ${what} again: the same result.</p>`;
}

/**
 * @param {Model} model
 * @param {any} fold
 */
function questionLines(model, { question, request }) {
  if (!question || question.request !== request?.id) return nothing;
  const name = nameIn(model);
  return html`<div class="notice stack tight"><p><span class="strong">${asked(name(question.author))}</span>
      <span class="t-small soft">${moment(question.wall)}</span></p><p class="quoted">“${question.text}”</p>
    ${question.answers.length === 0 ? html`<p class="t-small">No answer yet.</p>` : nothing}
    ${question.answers.map((/** @type {any} */ { text, author, wall }) => html`<p><span class="strong">${capital(name(author))} answered</span>
      <span class="t-small soft">${moment(wall)}</span></p><p class="quoted">“${text}”</p>`)}</div>`;
}

/** @param {string} who */
const asked = (who) => `${capital(who)} asked`;

/** @param {string} text */
export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/**
 * @param {Model} model
 * @param {any} fold
 */
function takenBack(model, { approvals, state }) {
  const gone = approvals.filter((/** @type {any} */ one) => isOver(one) && state !== "cancelled");
  const name = nameIn(model);
  return gone.map((/** @type {any} */ { author, wall, stale, ...one }) => html`<p class="t-small soft gap-top">
    ${one.implant ? "Decision" : "Approval"} by ${name(author)}, ${moment(wall)}, ${decidedFor(one)}:
    ${stale.some((/** @type {any} */ { code }) => code === "withdrawn") ? "taken back." : "its order was cancelled."}</p>`);
}
