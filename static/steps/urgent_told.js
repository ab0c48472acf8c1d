/**
 * What is written down about an urgent reading: which are open, what is asked, what is kept.
 *
 * @import { Problem } from "./form_keep.js"
 * @import { Typed } from "./question_fields.js"
 */
import { dayProblems, problemAt, written } from "./question_fields.js";

export const TOLD = "urgent.told";

/** @param {any[]} urgent of the fold of an eye */
export const openOnes = (urgent) => urgent.filter(({ open }) => open);

/**
 * Return whether a reading that was kept just now calls for the whole screen.
 *
 * @param {any} fold of the eye, or null
 * @param {string} kept id of the reading
 */
export function callsNow(fold, kept) {
  const items = openOnes(fold?.urgent ?? []);
  return items.some(({ records, told }) => records.includes(kept) && told.length === 0);
}

/**
 * Return what keeps it from being kept.
 *
 * @param {Typed} typed
 * @returns {Problem[]}
 */
export function problemsOf(typed) {
  const asked = [
    ["whom", "Name who was told."],
    ["how", "Choose how they were told."],
    ["text", "Write what they said is to be done."],
  ];
  const lacking = asked.flatMap(([field = "", message = ""]) =>
    written(typed[field]) ? [] : [problemAt(TOLD, field, message)],
  );
  return [...lacking, ...dayProblems(TOLD, typed["comes_on"])];
}

/**
 * Return the record's body: it is about every open reading of one lens that nobody was told of,
 * or about all of them where each was told of before.
 *
 * @param {any[]} items
 * @param {Typed} typed
 */
export function toldBody(items, { whom, how, text, comes_on }) {
  const untold = items.filter(({ told }) => told.length === 0);
  const about = untold.length > 0 ? untold : items;
  const { implant } = about[0];
  const mine = about.filter((one) => one.implant === implant);
  return { implant, readings: mine.map(({ reading }) => reading).sort(), whom, how, text, comes_on: written(comes_on) };
}
