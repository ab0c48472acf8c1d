/**
 * The value being typed, large, and what it says when it is read back.
 *
 * @import { Model } from "./capture_model.js"
 * @import { Entry, NumberField } from "../ui/entry.js"
 * @import { Part } from "../ui/quantities.js"
 */
import { html, nothing } from "lit-html";
import { places, recorded, signRule } from "../ui/entry.js";
import { eyeWord } from "../ui/eyes.js";
import { day } from "../ui/moments.js";
import { MINUS, said } from "../ui/numbers.js";
import { fieldOf } from "../ui/quantities.js";
import { choiceWords } from "../ui/readings.js";
import { lowerFirst, withUnit } from "../ui/words.js";
import { asked, entryFor, isDay, MADE_NOW } from "./capture_model.js";

/**
 * @param {Model} model
 * @param {Part} part
 */
export function hero(model, part) {
  const field = fieldOf(model.kind, part.field);
  const entry = entryFor(model, part.field);
  const { whole, decimals } = places(field, entry);
  return html`<div class="hero" role="img" aria-label=${heroWords(field, entry)}>
    ${signMark(field, entry)}
    <span class="digits">${blanks(whole)}${decimals ? html`.${blanks(decimals)}` : nothing}</span>
    ${field.unit ? html`<span class="hero-unit">${field.unit}</span>` : nothing}
  </div>`;
}

/** @param {string} digits */
function blanks(digits) {
  return [...digits].map((digit) => (digit === "_" ? html`<span class="blank">_</span>` : digit));
}

/**
 * Minus is a filled square, plus an outlined one; a zero that is complete has none.
 *
 * @param {NumberField} field
 * @param {Entry} entry
 */
function signMark(field, entry) {
  if (recorded(field, entry) === 0) return nothing;
  if (entry.sign === "-") return html`<span class="sign minus">${MINUS}</span>`;
  if (entry.sign === "+" && signRule(field) === "must")
    return html`<span class="sign plus">+</span>`;
  return signRule(field) === "must" ? html`<span class="sign empty"></span>` : nothing;
}

/**
 * @param {NumberField} field
 * @param {Entry} entry
 */
function heroWords(field, entry) {
  const value = recorded(field, entry);
  if (value !== null) return withUnit(said(value, field), field.unit);
  const typed = `${{ "-": "minus ", "+": "plus ", "": "" }[entry.sign]}${entry.digits}`.trim();
  return typed ? `${typed}, not complete` : "Nothing typed yet";
}

/**
 * Return the read-back: eye, each answer so far with its sign word and unit.
 *
 * @param {Model} model
 * @param {Part} current
 */
export function readBack(model, current) {
  const { parts, index } = asked(model);
  const before = parts
    .slice(0, index)
    .map((part) => partWords(model, part))
    .filter(Boolean);
  const now = partWords(model, current);
  return html`<p class="read-back"><span>${eyeWord(model.eye)}:
    ${before.map((words) => `${words}, `)}<span
      class="strong">${now || `${lowerFirst(current.group)} …`}</span></span></p>`;
}

/** @param {string} choice */
function dateWords(choice) {
  if (choice === MADE_NOW) return "made now";
  return isDay(choice) ? day(choice) : "";
}

/**
 * @param {Model} model
 * @param {Part} part
 */
function partWords(model, part) {
  const label = lowerFirst(part.label);
  const choice = model.draft.choices[part.field];
  if (part.type === "device") return choice ?? "";
  if (part.type === "date") return dateWords(choice ?? "");
  if (part.type === "choice")
    return choice ? lowerFirst(choiceWords(model.kind, part.field, choice)) : "";
  const field = fieldOf(model.kind, part.field);
  const entry = entryFor(model, part.field);
  const value = recorded(field, entry);
  if (value !== null) return `${label} ${withUnit(said(value, field), field.unit)}`;
  const sign = { "-": "minus ", "+": "plus ", "": "" }[entry.sign];
  const { whole, decimals } = places(field, entry);
  const typed = (decimals ? `${whole}.${decimals}` : whole).replace(/[._]*$/, "");
  return entry.sign || entry.digits ? `${label} ${sign}${typed} …` : "";
}
