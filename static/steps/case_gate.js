/**
 * What stands between a surgeon and an approval, as the sentence that the button says.
 *
 * @import { Model } from "./case.js"
 * @import { Finding } from "../ui/findings.js"
 */
import { count } from "../ui/words.js";

const DECIDABLE = new Set(["queued", "stale"]);
/** A reason of a word or two explains nothing to whoever reads the order. */
const REASON_CHARS = 10;

/**
 * Return why the eye cannot be approved now, or null where it can.
 *
 * @param {Model} model
 * @returns {string | null}
 */
export function approvalHindrance(model) {
  const fold = model.casefile?.fold.eyes[model.eye];
  if (!fold?.request) return "Not sent by the camp yet";
  if (!DECIDABLE.has(fold.state)) return notDecidable(fold.state);
  if (isOwnWork(model, fold)) return "You measured or sent this eye";
  const hindrance = findingHindrance(model);
  if (!hindrance && !model.plan.shown) return "No lens to approve";
  return hindrance ?? (model.isRead ? null : "Read to the end first");
}

/** @param {string} state */
function notDecidable(state) {
  const words = {
    ...{ approved: "Approved", ordered: "Ordered", conflict: "Two decisions stand; one must be withdrawn" },
    ...{ returned: "You asked; the camp has not answered", declined: "Declined", cancelled: "Order cancelled" },
  };
  return /** @type {Record<string, string>} */ (words)[state] ?? "Not sent by the camp yet";
}

/** @param {Model} model */
function findingHindrance(model) {
  const stops = distinct(model.plan.findings, "stop");
  if (stops.some(({ fixed }) => fixed)) return "A stop stands that nobody can override";
  const unreasoned = stops.filter(({ code }) => !reasonOf(model, code)).length;
  if (unreasoned > 0) return `Give ${count(unreasoned, "reason")} first`;
  const unseen = distinct(model.plan.findings, "caution").filter(({ code }) => !model.acknowledged.has(code));
  return unseen.length > 0 ? `See ${count(unseen.length, "caution")} first` : null;
}

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
export function reasonOf({ reasons }, code) {
  const reason = (reasons.get(code) ?? "").trim().normalize("NFC");
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
