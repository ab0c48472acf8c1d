/**
 * The person's answers as one sentence; what was not asked stands out.
 *
 * @typedef {Record<string, any>} History
 */
import { html } from "lit-html";
import { sectionHead } from "../ui/page.js";
import { fieldOf } from "../ui/quantities.js";
import { choiceWords } from "../ui/readings.js";

export const ANSWERS = "history.answers";
/** The four questions, in the order in which they are asked. */
export const QUESTIONS = [
  "stable_12_months",
  "contact_lenses",
  "pregnant_or_nursing",
  "eye_disease",
];

/**
 * @param {string} id the person
 * @param {History | null} history
 */
export function answersSection(id, history) {
  const link = html`<a class="link"
    href="#/person/${id}/answers">${history ? "Change" : "Ask the questions"}</a>`;
  return html`${sectionHead("Asked and answered", link)}
    <p class="t-small">${history ? sentence(history) : html`<span
      class="strong">Nothing asked yet.</span> Without the answers no eye can be planned.`}</p>`;
}

/**
 * Return the four answers as sentences.
 *
 * @param {History} history
 */
export function sentence(history) {
  return QUESTIONS.map((name) => {
    const value = history[name];
    const words = choiceWords(ANSWERS, name, value);
    const text = `${fieldOf(ANSWERS, name).label.replace(/\?$/, "")}: ${words.toLowerCase()}${detail(name, history)}. `;
    return value === "not_asked" ? html`<span class="strong">${text}</span>` : text;
  });
}

/**
 * @param {string} name
 * @param {History} history
 */
function detail(name, { contact_lens_type, contact_lens_days_out, eye_disease_note }) {
  if (name === "eye_disease" && eye_disease_note) return ` (${eye_disease_note})`;
  if (name !== "contact_lenses") return "";
  const days = contact_lens_days_out === null ? null : `out for ${contact_lens_days_out} days`;
  const parts = [contact_lens_type, days].filter((part) => part !== null && part !== undefined);
  return parts.length > 0 ? ` (${parts.join(", ")})` : "";
}
