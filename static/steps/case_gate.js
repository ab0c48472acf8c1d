/**
 * What stands between a surgeon and an approval, as the sentence that the button says.
 *
 * @import { Model } from "./case.js"
 * @import { Finding } from "../ui/findings.js"
 */
import { ORDERED, stateWords } from "../ui/states.js";
import { count } from "../ui/words.js";

/** @typedef {{ words: string, place: string | null }} Hindrance what is in the way, and where */

const DECIDABLE = new Set(["queued", "stale"]);
/** A reason of a word or two explains nothing to whoever reads it later. */
const REASON_CHARS = 10;
const CODE_CHARS = 16;

/**
 * Say whether a decision on the eye is awaited, so that its findings ask to be answered for.
 *
 * @param {any} fold
 */
export const isDecidable = (fold) => Boolean(fold?.request) && !fold.exchange && DECIDABLE.has(fold.state);

/**
 * Say whether this page is of an older version than the one that waits on this phone, with another
 * calculation: the new one is started before anybody approves.
 *
 * @param {boolean} isNewerReady
 * @param {string | null} serverCore name of the base's core, null where it was not heard
 * @param {string} ownCore name of this page's core
 */
export const isOld = (isNewerReady, serverCore, ownCore) =>
  isNewerReady && serverCore !== null && serverCore !== ownCore;

/**
 * Return why the eye cannot be approved now and where on the page that is, or null where it can.
 *
 * @param {Model} model
 * @returns {Hindrance | null}
 */
export function approvalHindrance(model) {
  const fold = model.casefile?.fold.eyes[model.eye];
  if (fold?.exchange) return nowhere(exchangeWords(fold));
  if (!isDecidable(fold)) return nowhere(notDecidable(fold));
  if (model.isOldPage) return nowhere("Start the new version first");
  if (isOwnWork(model, fold)) return nowhere("You measured or sent this eye");
  if (model.checks.request?.result === "differs") {
    return { words: "The base calculates otherwise", place: "base-check" };
  }
  const hindrance = findingHindrance(model);
  if (!hindrance && !model.plan.shown) return nowhere("No lens to approve");
  return hindrance ?? (model.isRead ? null : { words: "Read to the end first", place: READ_ON });
}

/** The place of what is in the way, where it is simply further down. */
export const READ_ON = "further-down";

/** @param {string} words */
const nowhere = (words) => ({ words, place: null });

/** With a lens in the eye nothing is planned here. @param {any} fold */
const exchangeWords = ({ state, exchange }) => (exchange.can_decide ? "A lens is in this eye" : stateWords(state));

/** @param {any} fold */
function notDecidable(fold) {
  const words = {
    ...{ approved: "Approved", implanted: "Implanted", followed: "Implanted" },
    ...Object.fromEntries(ORDERED.map((state) => [state, stateWords(state)])),
    conflict: "Decisions contradict each other",
    ...{ returned: "The camp has not answered yet", declined: "Declined", cancelled: "Order cancelled" },
  };
  if (!fold?.request) return "Not sent by the camp yet";
  if (fold.state === "approved" && fold.approval?.received === null) return "Approved, not yet at the base";
  return /** @type {Record<string, string>} */ (words)[fold.state] ?? "Not sent by the camp yet";
}

/**
 * Return which finding is still to be answered for, or null.
 *
 * @param {Model} model
 * @returns {Hindrance | null}
 */
export function findingHindrance(model) {
  const stops = distinct(model.plan.findings, "stop");
  const fixed = stops.find((one) => one.fixed);
  if (fixed) return { words: "A stop stands that nobody can override", place: placeOf(fixed) };
  const unreasoned = stops.filter(({ code }) => !reasonOf(model, code));
  if (unreasoned[0]) {
    return { words: `Give ${count(unreasoned.length, "reason")} first`, place: placeOf(unreasoned[0]) };
  }
  const cautions = distinct(model.plan.findings, "caution");
  const unseen = cautions.filter(({ code }) => !model.acknowledged.has(code));
  if (!unseen[0]) return null;
  return { words: `See ${count(unseen.length, "caution")} first`, place: placeOf(unseen[0]) };
}

/**
 * Return the id of the control that answers for a finding.
 *
 * @param {{ code: string }} finding
 */
export const placeOf = ({ code }) => `answer-${code.replaceAll(".", "-")}`;

/**
 * Return the findings of one level, each code once.
 *
 * @param {Finding[]} findings
 * @param {string} level
 * @returns {Finding[]}
 */
export function distinct(findings, level) {
  return [...new Map(findings.filter((one) => one.level === level).map((one) => [one.code, one])).values()];
}

/**
 * Return the written reason for going on in spite of a stop, or null while it says too little.
 *
 * @param {Model} model
 * @param {string} code
 * @returns {string | null}
 */
export const reasonOf = ({ reasons }, code) => reasonIn(reasons.get(code));

/**
 * Return a reason as it is kept, or null while it says too little.
 *
 * @param {string | undefined} typed
 * @returns {string | null}
 */
export function reasonIn(typed) {
  const reason = (typed ?? "").trim().normalize("NFC");
  return reason.length >= REASON_CHARS ? reason : null;
}

/**
 * Nobody approves what they measured or sent themselves.
 *
 * @param {Model} model
 * @param {any} fold
 */
function isOwnWork({ casefile, identity }, fold) {
  const bound = new Set(fold.evidence);
  const authors = (casefile?.entries ?? []).filter(({ id }) => bound.has(id)).map(({ payload }) => payload.author);
  return [...authors, fold.request.author].includes(identity.user.id);
}

/**
 * Return the approval of this surgeon that can be taken back: the newest that still counts. With a
 * lens in the eye it is a decision about that lens.
 *
 * @param {any} fold
 * @param {string} userId
 * @returns {any} an approval of the fold, or null
 */
export function ownApproval({ state, approvals, exchange }, userId) {
  if (!exchange && !["approved", "stale", "conflict", "returned", ...ORDERED].includes(state)) return null;
  const given = exchange?.decisions ?? approvals;
  const own = given.filter((/** @type {any} */ one) => one.author === userId && !isOver(one));
  return own.at(-1) ?? null;
}

/**
 * Return what this surgeon can take back: the approval that still counts, else their refusal.
 *
 * @param {any} fold
 * @param {string} userId
 * @returns {any} an approval or a decline of the fold, or null
 */
export function ownDecision(fold, userId) {
  if (fold.exchange) return ownApproval(fold, userId);
  const declines = fold.declines.filter((/** @type {any} */ { author }) => author === userId);
  return ownApproval(fold, userId) ?? declines.at(-1) ?? null;
}

/**
 * Say whether an approval was taken back, or served for an order that was cancelled.
 *
 * @param {any} approval
 */
export function isOver({ stale }) {
  return stale.some((/** @type {any} */ { code }) => code === "withdrawn" || code === "ordered");
}

/**
 * Return the start of the digest in groups of four, short enough to be read out.
 *
 * @param {string} digest
 */
export function checkCode(digest) {
  return digest.slice(0, CODE_CHARS).match(/.{4}/g)?.join(" ") ?? "";
}
