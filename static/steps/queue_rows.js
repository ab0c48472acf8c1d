/**
 * The surgeon's queue from the short accounts that the phone keeps: which eyes, in which order.
 *
 * Nothing here needs the calculation, so the queue stands at once, also from a cold start.
 *
 * @import { EyeSummary } from "./casefile.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Eye } from "../ui/eyes.js"
 * @typedef {{ person: PersonRow, eye: Eye, summary: EyeSummary, hasChanged: boolean, differs: boolean }} QueueRow
 * @typedef {{ waiting: QueueRow[], asked: QueueRow[], decided: QueueRow[] }} Queue
 * @typedef {{ id: string, result: string }[]} Checks the base's own calculation of each plan
 */
import { EYES } from "../ui/eyes.js";
import { ORDERED } from "../ui/states.js";
import { isOfDecisions } from "./case_contradictions.js";

const WAITING = new Set(["queued", "stale", "conflict"]);
const WITH_A_LENS = new Set(["implanted", "followed"]);
const DECIDED = new Set(["approved", ...ORDERED, ...WITH_A_LENS, "exchange_considered", "declined", "cancelled"]);
/** A surgeon has answered, or the supplier has to: the desk acts on the order. */
const FOR_THE_DESK = new Set(["decisions.to_cancel", "decisions.supplier_differs"]);
const GRAVITY = { stop: 0, caution: 1, note: 2 };

/**
 * @param {PersonRow[]} people
 * @param {Map<string, any>} seen case key -> what its surgeon last saw of it
 * @param {Checks} [checks]
 * @returns {Queue}
 */
export function queueOf(people, seen, checks = []) {
  const differing = new Set(checks.filter(({ result }) => result === "differs").map(({ id }) => id));
  const rows = people.flatMap((person) =>
    EYES.flatMap((eye) => {
      const summary = person.summary?.eyes[eye];
      if (!summary) return [];
      const differs = summary.checked.some((/** @type {string} */ id) => differing.has(id));
      return [{ person, eye, summary, differs, hasChanged: changed(seen, person.id, eye, summary) }];
    }),
  );
  return {
    waiting: rows.filter(isWaiting).sort(byGravityThenWait),
    asked: rows.filter(({ summary }) => summary.state === "returned").sort(byWait),
    decided: rows.filter((row) => isDecided(row) && !isWaiting(row)).sort(byNewest),
  };
}

/**
 * Return the name of a case, by which it is remembered as seen.
 *
 * @param {string} person
 * @param {Eye} eye
 */
export const caseKey = (person, eye) => `${person}.${eye}`;

/** @param {QueueRow} row */
const isWaiting = (row) => WAITING.has(row.summary.state) || Boolean(row.summary.asked) || asksAgain(row);

/**
 * Return where a row leads: to the case, to where an exchange is weighed, or to the person from
 * whose page it is.
 *
 * @param {QueueRow} row
 */
export function addressOf({ person, eye, summary: { state, asked }, differs }) {
  if (!differs && (asked || state === "exchange_considered")) return `#/exchange/${person.id}/${eye}`;
  return WITH_A_LENS.has(state) ? `#/person/${person.id}` : `#/case/${person.id}/${eye}`;
}

/**
 * Say whether a lens lies in the eye: its refraction here is the one from before surgery.
 *
 * @param {QueueRow} row
 */
export const hasLens = ({ summary: { state } }) => WITH_A_LENS.has(state) || state === "exchange_considered";

/**
 * Say whether an eye was decided.
 *
 * @param {QueueRow} row
 */
export const isDecided = ({ summary: { state } }) => DECIDED.has(state);

/**
 * Say whether an eye that was decided needs its surgeon once more: something contradicts it, or
 * stops an eye with a lens in it.
 *
 * @param {QueueRow} row
 */
export function asksAgain({ summary: { state, worst }, differs }) {
  if (WITH_A_LENS.has(state) && worst?.level === "stop") return true;
  return DECIDED.has(state) && (differs || (isOfDecisions(worst) && !FOR_THE_DESK.has(worst?.code ?? "")));
}

/**
 * @param {Map<string, any>} seen
 * @param {string} person
 * @param {Eye} eye
 * @param {EyeSummary} summary
 */
function changed(seen, person, eye, summary) {
  const before = seen.get(caseKey(person, eye));
  return before !== undefined && before.mark !== summary.mark;
}

/**
 * @param {QueueRow} a
 * @param {QueueRow} b
 */
function byGravityThenWait(a, b) {
  return gravity(a) - gravity(b) || byWait(a, b);
}

/** @param {QueueRow} row */
const gravity = ({ differs, summary: { worst, asked } }) => {
  if (asked?.urgent) return -1;
  if (differs) return GRAVITY.stop;
  return worst ? GRAVITY[worst.level] : 3;
};

/**
 * Longest wait first; the phone's clock only sorts this list, it decides nothing.
 *
 * @param {QueueRow} a
 * @param {QueueRow} b
 */
function byWait(a, b) {
  const [first, second] = [a, b].map(({ summary, person }) => `${summary.asked?.wall ?? summary.sentAt ?? "9"} ${person.id}`);
  return (first ?? "") < (second ?? "") ? -1 : 1;
}

/**
 * What was decided last first: it is what a surgeon comes back to.
 *
 * @param {QueueRow} a
 * @param {QueueRow} b
 */
function byNewest(a, b) {
  return (b.summary.decidedAt ?? "").localeCompare(a.summary.decidedAt ?? "") || byWait(a, b);
}
