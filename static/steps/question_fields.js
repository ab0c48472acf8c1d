/**
 * What a page of questions asks, and its single fields: drawn from the table of kinds, complained
 * about, tidied.
 *
 * @import { TemplateResult } from "lit-html"
 * @import { Problem } from "./form_keep.js"
 *
 * @typedef {Record<string, string>} Typed
 *
 * @typedef {object} Asking a page of questions while it is being answered
 * @property {string} kind of the record that is made of the answers
 * @property {Typed} typed
 * @property {Problem[]} problems
 * @property {(field: string, text: string) => void} type
 *
 * @typedef {object} Sheet what one page asks
 * @property {string} kind of the record
 * @property {string} title of the page, before the person's name
 * @property {string} draft what the key of its draft begins with
 * @property {readonly string[]} questions the fields that need an answer, in the order asked
 * @property {(asking: Asking) => unknown} fields the questions, and what an answer asks further
 * @property {(typed: Typed) => Problem[]} [detailProblems] of what an answer asks further
 * @property {(typed: Typed) => Record<string, unknown>} details the rest of the record's body
 */
import { choiceField, textField } from "../ui/form.js";
import { today } from "../ui/moments.js";
import { choicesOf, fieldOf } from "../ui/quantities.js";
import { problemOf } from "./form_keep.js";

/**
 * Return a question with the choices of its field, and one more where `more` names it.
 *
 * @param {Asking} asking
 * @param {string} name
 * @param {[string, string][]} [more]
 * @param {"one" | "three"} [columns]
 * @returns {TemplateResult}
 */
export function choiceAsked({ kind, typed, problems, type }, name, more = [], columns = "three") {
  return choiceField({
    id: name,
    label: fieldOf(kind, name).label,
    choices: [...choicesOf(kind, name), ...more],
    columns,
    value: typed[name] ?? null,
    error: problemOf(problems, name),
    onChoose: (value) => type(name, value),
  });
}

/**
 * Return a field for words or digits; `how` names the label where the kind has no such field.
 *
 * @param {Asking} asking
 * @param {string} name
 * @param {Partial<Parameters<typeof textField>[0]>} how
 * @returns {TemplateResult}
 */
export function textAsked({ kind, typed, problems, type }, name, how) {
  return textField({
    id: name,
    label: how.label ?? fieldOf(kind, name).label,
    value: typed[name] ?? "",
    error: problemOf(problems, name),
    onInput: (value) => type(name, value),
    ...how,
  });
}

/**
 * Return the field for the day on which somebody is to be seen again.
 *
 * @param {Asking} asking
 * @returns {TemplateResult}
 */
export const dayAsked = (asking) => textAsked(asking, "comes_on", { type: "date", hint: "The day agreed; empty where none was" });

/**
 * Return what is wrong with such a day: a slip in its year would let an urgent eye wait for years.
 *
 * @param {string} kind
 * @param {string | undefined} day
 * @returns {Problem[]}
 */
export function dayProblems(kind, day) {
  const now = today();
  const inAYear = `${Number(now.slice(0, 4)) + 1}${now.slice(4)}`;
  if (day && day < now) return [problemAt(kind, "comes_on", "That day is over.")];
  return day && day > inAYear ? [problemAt(kind, "comes_on", "That is over a year from now. Check the year.")] : [];
}

/**
 * Return a complaint about a field of a kind.
 *
 * @param {string} kind
 * @param {string} field
 * @param {string} message
 * @returns {Problem}
 */
export const problemAt = (kind, field, message) => ({
  field,
  label: fieldOf(kind, field).label,
  message,
});

/**
 * Return what was written, or null where nothing was.
 *
 * @param {string | undefined} text
 * @returns {string | null}
 */
export const written = (text) => text?.trim().normalize("NFC") || null;
