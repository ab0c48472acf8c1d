/**
 * The fields of a registration, for somebody new and for a correction.
 *
 * @import { Problem } from "./form_keep.js"
 */
import { html, nothing } from "lit-html";
import { kindNamed } from "../records/kinds.js";
import { choiceField, textField } from "../ui/form.js";
import { choicesOf, fieldOf } from "../ui/quantities.js";
import { problemOf } from "./form_keep.js";
import { REGISTERED as KIND } from "./registration.js";

/**
 * @typedef {{ typed: Record<string, string>, problems: Problem[] }} Form
 * @typedef {{ type: (field: string, text: string) => void }} Acts
 *
 * @param {Form} form
 * @param {Acts} acts
 */
export function registrationFields(form, acts) {
  return html`${text(form, acts, "name")} ${text(form, acts, "village")} ${choice(form, acts, "sex")}
    ${birth(form, acts)} ${text(form, acts, "camp_code")} ${text(form, acts, "phone")}
    ${choice(form, acts, "consent_store")} ${choice(form, acts, "consent_send")}`;
}

/**
 * @param {Form} form
 * @param {Acts} acts
 * @param {string} name
 * @param {{ label?: string, type?: string, hint?: string, inputmode?: "numeric" }} [how]
 */
function text({ typed, problems }, acts, name, how = {}) {
  const field = kindNamed(KIND).fields[name];
  const label = `${how.label ?? field.label}${name === "phone" ? " (if there is one)" : ""}`;
  return textField({
    id: name,
    label,
    value: typed[name] ?? "",
    hint: how.hint ?? (name === "camp_code" ? "As written on the person’s card" : undefined),
    error: problemOf(problems, name),
    maxChars: field.max_chars,
    type: how.type,
    inputmode: how.inputmode ?? (name === "phone" ? "tel" : undefined),
    onInput: (value) => acts.type(name, value),
  });
}

/**
 * @param {Form} form
 * @param {Acts} acts
 * @param {string} name
 */
function choice({ typed, problems }, acts, name) {
  return choiceField({
    id: name,
    label: fieldOf(KIND, name).label,
    choices: choicesOf(KIND, name),
    value: typed[name] ?? null,
    error: problemOf(problems, name),
    onChoose: (value) => acts.type(name, value),
  });
}

/**
 * @param {Form} form
 * @param {Acts} acts
 */
function birth(form, acts) {
  const known = form.typed["birth_known"] ?? null;
  return html`${choiceField({
    id: "birth_known",
    label: "What is known of the birth?",
    choices: [
      ["date", "The full date"],
      ["year", "Only the year"],
    ],
    value: known,
    error: problemOf(form.problems, "birth_known"),
    onChoose: (value) => acts.type("birth_known", value),
  })}
    ${known === "date" ? text(form, acts, "birth_date", { type: "date" }) : nothing}
    ${
      known === "year"
        ? text(form, acts, "birth_year", { inputmode: "numeric", hint: "Four digits" })
        : nothing
    }`;
}
