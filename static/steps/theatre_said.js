/**
 * What the person says of themselves: asked first, and only then held beside what is recorded.
 *
 * Whoever asks does not see the answer beforehand, so that it is neither read out nor nodded at.
 *
 * @import { PersonRow } from "../store/people.js"
 * @import { Acts } from "./theatre_eye.js"
 * @import { Model } from "./theatre_model.js"
 */
import { html, nothing } from "lit-html";
import { icon } from "../ui/icons.js";
import { day } from "../ui/moments.js";
import { identifiers } from "../ui/page.js";

/** @type {[string, string, string][]} identifier, what is asked, what it is called */
const ASKED = [
  ["name", "What is your name?", "name"],
  ["birth", "When were you born?", "birth"],
  ["village", "Where do you live?", "village"],
  ["camp_code", "Which code is on your card?", "code"],
];

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function saidList(model, acts) {
  const ours = oursOf(model);
  return html`<ul class="theatre-said">${ASKED.filter(([name]) => ours[name]).map(([name, question, word]) =>
    html`<li><p class="strong">“${question}”</p>${answered(model, acts, name, ours[name] ?? "", word)}</li>`)}</ul>`;
}

/**
 * Return whose eye it is, for the band over a page; what the person is still asked is left out.
 *
 * @param {PersonRow} person
 * @param {{ isAsked: boolean }} how
 */
export function whoseNote(person, { isAsked }) {
  return html`<span class="strong">${person.name}</span>${isAsked ? nothing : html` · ${identifiers(person)}`}`;
}

/**
 * Return what is recorded of the person, by identifier; without those that are not known.
 *
 * @param {Pick<Model, "person">} model
 * @returns {Record<string, string | null | undefined>}
 */
export function oursOf({ person }) {
  const born = person?.birth_date ? day(person.birth_date) : person?.birth_year;
  const { name, village, camp_code } = person ?? {};
  return { name, village, camp_code, birth: born ? `born ${born}` : null };
}

/**
 * @param {Model} model
 * @param {Acts} acts
 * @param {string} name
 * @param {string} ours
 * @param {string} word
 */
function answered({ said, shown }, acts, name, ours, word) {
  if (!shown.includes(name)) {
    return html`<button type="button" class="btn" aria-label="Answered: show ours, ${word}" @click=${() => acts.change({ shown: [...shown, name] })}>Answered: show ours</button>`;
  }
  const isSaid = said.includes(name);
  const others = said.filter((one) => one !== name);
  return html`<p>Ours: <span class="t-head">${ours}</span></p>
    <div class="btn-row"><button type="button" class="btn" aria-label="The same, ${word}" aria-pressed=${isSaid}
      @click=${() => acts.change({ said: isSaid ? others : [...others, name] })}>${isSaid ? icon("tick") : nothing}The same</button>
    <button type="button" class="btn" aria-label="Not the same, ${word}" @click=${() =>
      acts.change({ said: others, ending: { why: "person", note: "" } })}>Not the same</button></div>`;
}
