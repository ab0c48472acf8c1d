/**
 * Whether anything of a person is still to be done, by the state of both eyes.
 *
 * @import { Eye } from "../ui/eyes.js"
 */
import { EYES } from "../ui/eyes.js";

/** So long before a planned visit a person's records are wanted here again [days]. */
const BEFORE_VISIT_DAYS = 90;
const DAY_MS = 86_400_000;

/**
 * Return null while something is open, otherwise from which day the records are wanted again.
 *
 * @param {Record<Eye, any>} eyes of a fold
 * @returns {{ back_on: string | null } | null}
 */
export function restOf(eyes) {
  const begun = EYES.map((eye) => eyes[eye]).filter(isBegun);
  if (begun.length === 0 || !begun.every(isClosed)) return null;
  const visits = begun.flatMap(({ surgeries }) => surgeries.map((/** @type {any} */ one) => one.schedule.due));
  const first = visits.filter(Boolean).sort()[0];
  return { back_on: first ? daysBefore(first) : null };
}

/** An eye of which nothing was ever said has no case. @param {any} eye */
function isBegun({ state, readings, withdrawn, unread }) {
  return state !== "measuring" || readings.length + withdrawn.length + unread.length > 0;
}

/** @param {any} eye */
function isClosed({ state, late, question, urgent, surgeries }) {
  if (late?.blocks || (question && !question.answered)) return false;
  if (urgent.some((/** @type {any} */ one) => one.open)) return false;
  if (state !== "followed") return state === "declined" || state === "cancelled";
  return surgeries.every((/** @type {any} */ { schedule }) => schedule.state === "later" || schedule.state === "ended");
}

/** @param {string} day */
function daysBefore(day) {
  return new Date(Date.parse(day) - BEFORE_VISIT_DAYS * DAY_MS).toISOString().slice(0, 10);
}
