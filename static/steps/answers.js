/**
 * The four questions that a plan waits for, and what contact lenses or an eye disease ask further.
 *
 * @import { Place } from "../main.js"
 * @import { Problem } from "./form_keep.js"
 * @import { Asking, Sheet, Typed } from "./question_fields.js"
 */
import { html, nothing } from "lit-html";
import { ANSWERS, QUESTIONS } from "./answers_sentence.js";
import { choiceAsked, problemAt, textAsked, written } from "./question_fields.js";
import { askSheet } from "./question_page.js";

/** @type {Sheet} */
const SHEET = {
  kind: ANSWERS,
  title: "Questions",
  draft: "answers",
  questions: QUESTIONS,
  fields: (asking) =>
    QUESTIONS.map((name) => html`<div>${choiceAsked(asking, name)}${further(asking, name)}</div>`),
  detailProblems,
  details,
};

/** @param {Place} place */
export const start = (place) => askSheet(SHEET, place);

/** @param {Typed} typed */
const wearsLenses = (typed) => typed["contact_lenses"] === "yes";

/** @param {Typed} typed */
const hasDisease = (typed) => typed["eye_disease"] === "yes";

/** @param {Typed} typed */
const daysOut = (typed) => (wearsLenses(typed) && typed["contact_lens_days_out"]?.trim()) || null;

/**
 * Return what a "yes" asks further, under its question.
 *
 * @param {Asking} asking
 * @param {string} name
 */
function further(asking, name) {
  if (name === "eye_disease" && hasDisease(asking.typed)) {
    const how = { isLong: true, maxChars: 500 };
    return html`<div class="gap-top">${textAsked(asking, "eye_disease_note", how)}</div>`;
  }
  if (name !== "contact_lenses" || !wearsLenses(asking.typed)) return nothing;
  const how = /** @type {const} */ ({ inputmode: "numeric", hint: "Leave empty if not known" });
  return html`<div
      class="gap-top">${choiceAsked(asking, "contact_lens_type", [["", "Not known"]])}</div>
    <div class="gap-top">${textAsked(asking, "contact_lens_days_out", how)}</div>`;
}

/**
 * @param {Typed} typed
 * @returns {Problem[]}
 */
function detailProblems(typed) {
  const problems = [];
  const days = daysOut(typed);
  if (days && !/^[0-9]{1,4}$/.test(days)) {
    problems.push(problemAt(ANSWERS, "contact_lens_days_out", "Type whole days in digits."));
  }
  if (hasDisease(typed) && !written(typed["eye_disease_note"])) {
    const message = "Say which one; the surgeon needs it.";
    problems.push(problemAt(ANSWERS, "eye_disease_note", message));
  }
  return problems;
}

/**
 * Return the fields behind each "yes"; null where nothing is known, or nothing was to be asked.
 *
 * @param {Typed} typed
 * @returns {Record<string, unknown>}
 */
function details(typed) {
  const days = daysOut(typed);
  return {
    contact_lens_type: wearsLenses(typed) ? typed["contact_lens_type"] || null : null,
    contact_lens_days_out: days ? Number(days) : null,
    eye_disease_note: hasDisease(typed) ? written(typed["eye_disease_note"]) : null,
  };
}
