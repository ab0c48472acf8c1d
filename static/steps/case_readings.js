/**
 * The readings a plan stands on, each with who, when and what device; the fellow eye beside them.
 *
 * @import { Model } from "./case.js"
 */
import { html, nothing } from "lit-html";
import { eyeMark, eyeName, eyeWord, otherEye } from "../ui/eyes.js";
import { clock, moment } from "../ui/moments.js";
import { sectionHead } from "../ui/page.js";
import { slits } from "../ui/slits.js";
import { tag } from "../ui/states.js";
import { sentence } from "./answers_sentence.js";
import { healthWords } from "./health_sentence.js";

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
    ${answered(casefile?.fold.history)} ${asked(casefile?.fold.health)} ${gone(fold)}`;
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
  const { word, entries, apart, spread_text } = group;
  const repeats = entries.length > 1;
  const headline = headlineOf(group);
  return html`<li class="row">
    <div class="t-small soft">${word}${repeats ? ", value in use" : ""}</div>
    <div class="spread"><span class="t-value">${headline}</span>
      <span class="t-small soft">${eyeWord(otherEye(eye)).split(" ")[0]?.toLowerCase()} ${fellow ? fellow.used.text : "not measured"}</span></div>
    <div class="meta">${slits(entries.length)}
      ${apart ? tag("caution", "caution", spread_text ?? "apart") : spread_text}</div>
    <ul class="t-small soft">${sourcesOf(entries, headline).map((one) => html`<li>${sourceLine(one, names)}</li>`)}</ul>
  </li>`;
}

/**
 * Return the value in use; where every reading says the same, with its plane or surface.
 *
 * @param {any} group
 * @returns {string}
 */
export function headlineOf({ entries, used }) {
  const [first] = entries;
  return first && entries.every((/** @type {any} */ { text }) => text === first.text) ? first.text : used.text;
}

/**
 * Readings of one person on one device stand in one line, values and times in the same order.
 *
 * @param {any[]} entries
 * @param {string} headline a value that stands above them already
 * @returns {{ author: string, device: string | null, values: string[], times: string[], reason: string | null }[]}
 */
export function sourcesOf(entries, headline) {
  const sources = new Map();
  for (const { text, author, body, reason } of entries) {
    const key = [author, body.device, reason].join("|");
    const empty = { author, device: body.device ?? null, values: [], times: [], reason: reason ?? null };
    const source = sources.get(key) ?? empty;
    sources.set(key, source);
    if (text !== headline) source.values.push(text);
    source.times.push(body.taken);
  }
  return [...sources.values()];
}

/**
 * @param {ReturnType<typeof sourcesOf>[number]} source
 * @param {Map<string, string>} names
 */
function sourceLine({ author, device, values, times, reason }, names) {
  const who = [names.get(author) ?? "a colleague", device, momentsText(times)].filter(Boolean).join(", ");
  return html`${values.length > 0 ? `${values.join("; ")}: ` : nothing}${who}${reason ? `, corrected: ${reason}` : ""}`;
}

/**
 * Return instants as one text; a day is said once.
 *
 * @param {string[]} instants ISO 8601
 */
export function momentsText([first = "", ...rest]) {
  const sameDay = (/** @type {string} */ one) => moment(one).split(",")[0] === moment(first).split(",")[0];
  const later = rest.map((one) => (moment(first).includes(",") && sameDay(one) ? clock(one) : moment(one)));
  return [moment(first), ...later].join(" and ");
}

/** @param {any} fold */
function gone({ withdrawn }) {
  if (withdrawn.length === 0) return nothing;
  return html`<details class="more-findings"><summary>${withdrawn.length} withdrawn or corrected</summary>
    <ul class="t-small soft">${withdrawn.map((/** @type {any} */ { text, reason }) => html`<li>${text}: ${reason}</li>`)}</ul>
  </details>`;
}

/** @param {any} health */
const asked = (health) =>
  health ? html`<p class="t-small gap-top">${healthWords(health)}</p>` : nothing;

/** @param {any} history */
function answered(history) {
  return html`<p class="t-small gap-top">${history ? sentence(history) : html`<span class="strong">The questions were not asked.</span>`}</p>`;
}
