/**
 * What stands between a surgeon and a decision about a lens in an eye, as the button says it.
 *
 * @import { Hindrance } from "./case_gate.js"
 * @import { Model } from "./exchange.js"
 * @import { Finding } from "../ui/findings.js"
 */
import { count } from "../ui/words.js";
import { findingHindrance, READ_ON } from "./case_gate.js";

/** The four checks, in their order. */
export const CHECKS = ["scan", "label", "orientation", "eye"];
/** Decisions that operate on the lens: each check has to be sure. */
const OPERATES = new Set(["exchange", "turn", "rerotate", "remove"]);
export const EXCHANGE = "exchange";

/**
 * Return what the surgeon said of a check: "sure", "not_sure", or undefined.
 *
 * @param {Pick<Model, "said">} model
 * @param {string} check
 */
export const saidOf = ({ said }, check) => said.get(`sure.${check}`);

/**
 * Say whether every check was answered; until then no length is shown.
 *
 * @param {Pick<Model, "said">} model
 */
export const isChecked = (model) => CHECKS.every((check) => Boolean(saidOf(model, check)));

/**
 * Return the decision being made, or null.
 *
 * @param {Pick<Model, "said">} model
 * @returns {string | null}
 */
export const decisionOf = ({ said }) => said.get("decision") || null;

/**
 * Return what would be signed for a decision, with its digest; `shown` is null where nothing can be.
 *
 * @param {Pick<Model, "plan" | "digest" | "digestWithout">} model
 * @param {string | null} decision
 * @returns {{ shown: any, digest: string }}
 */
export function signedFor({ plan, digest, digestWithout }, decision) {
  const isExchange = decision === null || decision === EXCHANGE;
  return isExchange ? { shown: plan.shown, digest } : { shown: plan.shown_without, digest: digestWithout };
}

/**
 * Return the findings that a decision answers for: those of the new lens only with an exchange.
 *
 * @param {Model} model
 * @returns {Finding[]}
 */
export function findingsFor(model) {
  const { findings } = model.plan;
  const decision = decisionOf(model);
  if (decision === null || decision === EXCHANGE) return findings;
  const bound = new Set((model.plan.shown_without?.findings ?? []).map((/** @type {any} */ { code }) => code));
  return findings.filter((/** @type {Finding} */ { code, level }) => level === "note" || bound.has(code));
}

/**
 * Return the decisions offered, with what each is called.
 *
 * @param {Pick<Model, "plan">} model
 * @returns {[string, string][]}
 */
export function offered({ plan }) {
  const others = plan.alternatives.filter((/** @type {any} */ { possible }) => possible);
  /** @type {[string, string][]} */
  const beside = others.map((/** @type {any} */ { code, title }) => [code, title]);
  return plan.shown ? [[EXCHANGE, "Exchange the lens"], ...beside] : beside;
}

/**
 * Return why nothing can be decided now and where on the page that is, or null where it can.
 *
 * @param {Model} model
 * @returns {Hindrance | null}
 */
export function decisionHindrance(model) {
  const { exchange } = model.casefile?.fold.eyes[model.eye] ?? {};
  if (!exchange?.can_decide) return { words: "Nothing is to be decided here now", place: null };
  if (ownStanding(exchange, model.identity.user.id)) return { words: "Take your decision back first", place: null };
  if (model.isOldPage) return { words: "Start the new version first", place: null };
  const open = CHECKS.filter((check) => !saidOf(model, check));
  if (open[0]) return { words: `Answer ${count(open.length, "check")} first`, place: `sure.${open[0]}` };
  const decision = decisionOf(model);
  if (!decision) return { words: "Choose what is to be done", place: "decision" };
  const unsure = CHECKS.find((check) => saidOf(model, check) !== "sure");
  if (unsure && OPERATES.has(decision)) {
    return { words: "Be sure of all four checks first", place: `sure.${unsure}` };
  }
  const { shown } = signedFor(model, decision);
  const found = findingHindrance({ ...model, plan: { ...model.plan, findings: findingsFor(model) } });
  if (found) return found;
  if (!shown) return { words: "No lens to decide on", place: null };
  if (measuredBy(model, shown)) return { words: "You measured this eye", place: null };
  return model.isRead ? null : { words: "Read to the end first", place: READ_ON };
}

/**
 * Return the decision of this surgeon that stands: another one beside it would contradict it.
 *
 * @param {any} exchange of the eye's fold
 * @param {string} userId
 */
const ownStanding = ({ decisions }, userId) =>
  decisions.find((/** @type {any} */ { live, author }) => live && author === userId);

/**
 * Nobody decides on readings of their own.
 *
 * @param {Model} model
 * @param {any} shown
 */
export function measuredBy({ casefile, identity }, shown) {
  const bound = new Set([...(shown?.evidence ?? []), ...(shown?.followups ?? [])]);
  return (casefile?.entries ?? []).some(({ id, payload }) => bound.has(id) && payload.author === identity.user.id);
}
