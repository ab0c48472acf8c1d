/**
 * The readings a plan stands on, each with who, when and what device; the fellow eye beside them.
 *
 * @import { Model } from "./case.js"
 */
import { html, nothing } from "lit-html";
import { eyeMark, eyeName, eyeWord, otherEye } from "../ui/eyes.js";
import { moment } from "../ui/moments.js";
import { sectionHead } from "../ui/page.js";
import { slits } from "../ui/slits.js";
import { tag } from "../ui/states.js";
import { sentence } from "./answers_sentence.js";

/**
 * @param {Model} model
 * @param {any} fold
 */
export function readingsSection(model, fold) {
  const { eye, casefile } = model;
  const fellow = otherEye(eye);
  const beside = casefile?.fold.eyes[fellow].readings ?? [];
  return html`${sectionHead("Readings", html`${eyeMark(fellow)} ${eyeWord(fellow).toLowerCase()}, for comparison`)}
    <ul class="rows" aria-label="Readings of the ${eyeName(eye)}">
      ${fold.readings.map((/** @type {any} */ group) => readingRow(model, group, fellowOf(beside, group.kind)))}
      ${fold.missing.map((/** @type {any} */ { text }) => html`<li class="row"><span class="soft">${text}: missing</span></li>`)}
    </ul>
    ${answered(casefile?.fold.history)} ${gone(fold)}`;
}

/**
 * @param {any[]} groups
 * @param {string} kind
 */
const fellowOf = (groups, kind) => groups.find((group) => group.kind === kind);

/**
 * @param {Model} model
 * @param {any} group
 * @param {any} fellow
 */
function readingRow({ names, eye }, group, fellow) {
  const { word, entries, used, apart, spread_text } = group;
  const repeats = entries.length > 1;
  return html`<li class="row">
    <div class="t-small soft">${word}${repeats ? ", value in use" : ""}</div>
    <div class="spread"><span class="t-value">${used.text}</span>
      <span class="t-small soft">${eyeWord(otherEye(eye)).split(" ")[0]?.toLowerCase()} ${fellow ? fellow.used.text : "not measured"}</span></div>
    <div class="meta">${slits(entries.length)}
      ${apart ? tag("caution", "caution", spread_text ?? "apart") : spread_text}</div>
    <ul class="t-small soft">${entries.map((/** @type {any} */ entry) => html`<li>${sourceOf(entry, names, repeats)}</li>`)}</ul>
  </li>`;
}

/**
 * @param {any} entry
 * @param {Map<string, string>} names
 * @param {boolean} repeats
 */
function sourceOf({ text, author, body, reason }, names, repeats) {
  const parts = [names.get(author) ?? "a colleague", body.device, moment(body.taken)].filter(Boolean);
  return html`${repeats ? html`${text}: ` : nothing}${parts.join(", ")}${reason ? `, corrected: ${reason}` : ""}`;
}

/** @param {any} fold */
function gone({ withdrawn }) {
  if (withdrawn.length === 0) return nothing;
  return html`<details class="more-findings"><summary>${withdrawn.length} withdrawn or corrected</summary>
    <ul class="t-small soft">${withdrawn.map((/** @type {any} */ { text, reason }) => html`<li>${text}: ${reason}</li>`)}</ul>
  </details>`;
}

/** @param {any} history */
function answered(history) {
  return html`<p class="t-small gap-top">${history ? sentence(history) : html`<span class="strong">The questions were not asked.</span>`}</p>`;
}
