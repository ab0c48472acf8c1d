/**
 * The surgeon's queue from the short accounts that the phone keeps: which eyes, in which order.
 *
 * Nothing here needs the calculation, so the queue stands at once, also from a cold start.
 *
 * @import { EyeSummary } from "./casefile.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Eye } from "../ui/eyes.js"
 * @typedef {{ person: PersonRow, eye: Eye, summary: EyeSummary, hasChanged: boolean }} QueueRow
 * @typedef {{ waiting: QueueRow[], asked: QueueRow[], decided: QueueRow[] }} Queue
 */
import { EYES } from "../ui/eyes.js";

const WAITING = new Set(["queued", "stale", "conflict"]);
const DECIDED = new Set(["approved", "ordered", "declined", "cancelled"]);
const GRAVITY = { stop: 0, caution: 1, note: 2 };

/**
 * @param {PersonRow[]} people
 * @param {Map<string, string>} seen case key -> what its surgeon last saw of it
 * @returns {Queue}
 */
export function queueOf(people, seen) {
  const rows = people.flatMap((person) =>
    EYES.flatMap((eye) => {
      const summary = person.summary?.eyes[eye];
      return summary ? [{ person, eye, summary, hasChanged: changed(seen, person.id, eye, summary) }] : [];
    }),
  );
  return {
    waiting: rows.filter(({ summary }) => WAITING.has(summary.state)).sort(byGravityThenWait),
    asked: rows.filter(({ summary }) => summary.state === "returned").sort(byWait),
    decided: rows.filter(({ summary }) => DECIDED.has(summary.state)).sort(byWait),
  };
}

/**
 * Return the name of a case, by which it is remembered as seen.
 *
 * @param {string} person
 * @param {Eye} eye
 */
export const caseKey = (person, eye) => `${person}.${eye}`;

/**
 * @param {Map<string, string>} seen
 * @param {string} person
 * @param {Eye} eye
 * @param {EyeSummary} summary
 */
function changed(seen, person, eye, summary) {
  const before = seen.get(caseKey(person, eye));
  return before !== undefined && before !== summary.mark;
}

/**
 * @param {QueueRow} a
 * @param {QueueRow} b
 */
function byGravityThenWait(a, b) {
  return gravity(a) - gravity(b) || byWait(a, b);
}

/** @param {QueueRow} row */
const gravity = ({ summary: { worst } }) => (worst ? GRAVITY[worst.level] : 3);

/**
 * Longest wait first; the phone's clock only sorts this list, it decides nothing.
 *
 * @param {QueueRow} a
 * @param {QueueRow} b
 */
function byWait(a, b) {
  const [first, second] = [a, b].map(({ summary, person }) => `${summary.sentAt ?? "9"} ${person.id}`);
  return (first ?? "") < (second ?? "") ? -1 : 1;
}
