/**
 * What was typed about a call for a visit, looked at and turned into the record's body.
 *
 * @import { Problem } from "./form_keep.js"
 * @import { Typed } from "./question_fields.js"
 */
import { dayProblems, problemAt, written } from "./question_fields.js";

export const CONTACT = "recall.contact";

/**
 * Return what keeps a call from being kept.
 *
 * @param {Typed} typed
 * @returns {Problem[]}
 */
export function problemsOf({ how, reached, comes_on: day }) {
  const problems = [];
  if (!how) problems.push(problemAt(CONTACT, "how", "Choose how they were called."));
  if (!reached) problems.push(problemAt(CONTACT, "reached", "Say whether anybody was reached."));
  return reached === "yes" ? [...problems, ...dayProblems(CONTACT, day)] : problems;
}

/**
 * Return the record's body; a day is agreed only with somebody who was reached.
 *
 * @param {Typed} typed
 * @param {string} implant
 */
export const contactBody = ({ how, reached, comes_on, text }, implant) => ({
  ...{ implant, how, reached, text: written(text) },
  comes_on: reached === "yes" ? written(comes_on) : null,
});
