/**
 * The questions about general health; a "yes" to any of them asks which, and since when.
 *
 * @import { Place } from "../main.js"
 * @import { Sheet, Typed } from "./question_fields.js"
 */
import { html, nothing } from "lit-html";
import { HEALTH, HEALTH_QUESTIONS } from "./health_sentence.js";
import { choiceAsked, textAsked, written } from "./question_fields.js";
import { askSheet } from "./question_page.js";

/** @type {Sheet} */
const SHEET = {
  kind: HEALTH,
  title: "Health",
  draft: "health",
  questions: HEALTH_QUESTIONS,
  fields: (asking) => html`${HEALTH_QUESTIONS.map((name) => choiceAsked(asking, name))}
    ${isTold(asking.typed) ? textAsked(asking, "note", { maxChars: 500, isLong: true }) : nothing}`,
  details: (typed) => ({ note: isTold(typed) ? written(typed["note"]) : null }),
};

/** @param {Place} place */
export const start = (place) => askSheet(SHEET, place);

/** @param {Typed} typed */
const isTold = (typed) => HEALTH_QUESTIONS.some((name) => typed[name] === "yes");
