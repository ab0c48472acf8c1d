/**
 * Which eyes call for somebody after surgery, in the order of how much it presses.
 *
 * @import { PersonRow } from "../store/people.js"
 * @import { Eye } from "../ui/eyes.js"
 * @typedef {{ row: PersonRow, eye: Eye, state: string, text: string, due: string }} Calling
 */
import { EYES } from "../ui/eyes.js";

/** How an eye can stand with its visits so that somebody should call. @type {Record<string, string>} */
export const CALLING = { lost: "Lost to follow-up", overdue: "Overdue", due: "Due now" };
const ORDER = Object.keys(CALLING);

/**
 * @param {PersonRow[]} rows
 * @returns {Calling[]} the longest waiting of each state first
 */
export function callingOf(rows) {
  const found = rows.flatMap((row) =>
    EYES.flatMap((eye) => {
      const visits = row.summary?.eyes[eye].visits;
      if (!visits || !(visits.state in CALLING)) return [];
      return [{ row, eye, state: visits.state, text: visits.text, due: visits.due ?? "" }];
    }),
  );
  const place = (/** @type {Calling} */ { state }) => ORDER.indexOf(state);
  return found.sort((a, b) => place(a) - place(b) || (a.due < b.due ? -1 : 1));
}

/**
 * Return how many eyes call, in words: "1 lost, 2 overdue"; an empty text where none does.
 *
 * @param {PersonRow[]} rows
 */
export function callingWords(rows) {
  const found = callingOf(rows);
  const counts = ORDER.map((state) => [found.filter((one) => one.state === state).length, state]);
  return counts.filter(([number]) => number).map(([number, state]) => `${number} ${state}`).join(", ");
}
