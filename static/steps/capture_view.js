/**
 * How a reading's page looks while a value is being taken.
 *
 * @import { TemplateResult } from "lit-html"
 * @import { Acts } from "./capture_acts.js"
 * @import { Model } from "./capture_model.js"
 * @import { Part } from "../ui/quantities.js"
 */
import { html, nothing } from "lit-html";
import { recorded } from "../ui/entry.js";
import { eyeBand, eyeWord, otherEye } from "../ui/eyes.js";
import { findingBlock } from "../ui/findings.js";
import { keptLine, notKeptLine } from "../ui/kept_line.js";
import { age } from "../ui/moments.js";
import { shown } from "../ui/numbers.js";
import { pageHead } from "../ui/page.js";
import { fieldOf, quantityLabel, slugOf } from "../ui/quantities.js";
import { slits } from "../ui/slits.js";
import { emptyLine } from "../ui/waiting.js";
import { lowerFirst } from "../ui/words.js";
import { asked, entryFor, LEFT_BEHIND } from "./capture_model.js";
import { choicesBeside, closes, questionView } from "./capture_question.js";
import { hero, readBack } from "./capture_value.js";
import { unusualNow, whyNot } from "./capture_words.js";
import { readingsView } from "./capture_readings.js";
import { reasonSheet } from "./capture_sheet.js";

/**
 * @param {Model} model
 * @param {Acts} acts
 * @returns {TemplateResult}
 */
export function captureView(model, acts) {
  const { person, eye, kind, id } = model;
  if (!person) return html`<main>${emptyLine("This person is not on this phone.")}</main>`;
  const title = `${quantityLabel(kind)}, ${eyeWord(eye).toLowerCase()}`;
  const step = model.visit ? "visit" : "capture";
  const otherHref = `#/${step}/${id}/${otherEye(eye)}/${slugOf(kind)}`;
  return html`${pageHead({
    title,
    back: { href: `#/person/${id}`, label: `${person.name}, ${age(person)}` },
    aside: person.camp_code,
  })}
    ${eyeBand({ eye, otherHref })}
    <main class="capture">
      ${model.mode === "readings" ? readingsView(model, acts) : entryView(model, acts)}
      <p class="visually-hidden" aria-live="polite">${model.spoken}</p>
      ${model.asking ? reasonSheet(model, acts) : nothing}
    </main>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function entryView(model, acts) {
  const { parts, index, part } = asked(model);
  const warning = unusualNow(model);
  return html`${keptBefore(model)}<div class="entry">
      <h2 class="ask"><span>${quantityLabel(model.kind)}</span>${countWords(model, part, acts)}</h2>
      ${parts.length > 1 ? partBar(parts, index, acts) : nothing}
      ${part.type === "number" ? hero(model, part) : nothing} ${readBack(model, part)}
    </div>
    ${model.trouble ? notKeptLine(model.trouble) : nothing}
    ${model.hint ? hintBlock(model, acts) : nothing}
    ${warning ? findingBlock({ level: "caution", title: "Unusual.", text: warning, do: "Read it again." }) : nothing}
    ${questionView(model, part, acts)}
    ${closes(model) ? nothing : html`<div class="dock">${dockButtons(model, acts, warning !== null)}</div>`}`;
}

/**
 * In a visit the reading before is said back on the page of the next, until something is typed there.
 *
 * @param {Model} model
 */
function keptBefore({ visit, eye, draft }) {
  const last = visit?.eyes[eye].last;
  return last && Object.keys(draft.entries).length === 0 ? keptLine(last.instant, last.sentence) : nothing;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function hintBlock({ hint }, acts) {
  const throwAway = html`<button type="button" class="link"
    @click=${() => acts.throwAway()}>Throw it away</button>`;
  const note = { level: /** @type {const} */ ("note"), title: hint ?? "", text: "", do: "" };
  return findingBlock(note, hint === LEFT_BEHIND ? throwAway : nothing);
}

/**
 * @param {Part[]} parts
 * @param {number} index
 * @param {Acts} acts
 */
function partBar(parts, index, acts) {
  const groups = [...new Set(parts.map(({ group }) => group))];
  const now = groups.indexOf(parts[index]?.group ?? "");
  const first = (/** @type {string} */ group) =>
    parts.find((part) => part.group === group)?.field ?? "";
  return html`<ol class="parts" aria-label="Part ${now + 1} of ${groups.length}">
    ${groups.map((group, place) => {
      if (place < now)
        return html`<li class="past"><button type="button"
          @click=${() => acts.goTo(first(group))}>${group}</button></li>`;
      return html`<li aria-current=${place === now ? "step" : nothing}>${group}</li>`;
    })}
  </ol>`;
}

/**
 * @param {Model} model
 * @param {Part} part
 * @param {Acts} acts
 */
function countWords({ readings, draft, visit }, part, acts) {
  // What was read at an earlier visit is no first reading of this one.
  if (visit) return html`<button type="button" class="link look" @click=${() => acts.leaveOut()}>Leave it out</button>`;
  const hidden = readings.length === 1 ? "first one hidden" : "others hidden";
  const words = draft.replaces ? "a correction" : `reading ${readings.length + 1}`;
  const isRepeat = readings.length > 0 && !draft.replaces;
  return html`<span class="t-micro soft">${slits(readings.length, draft.replaces ? 0 : 1)}
    ${words}${isRepeat ? `, ${hidden}` : ""} ${readings.length > 0 ? lookButton(draft, acts) : nothing}
    ${part.type === "number" ? nothing : html`<span
      class="visually-hidden">${part.label}</span>`}</span>`;
}

/**
 * A first reading that was a slip must be reachable at once, not only after a second one.
 *
 * @param {Model["draft"]} draft
 * @param {Acts} acts
 */
function lookButton({ replaces }, acts) {
  return html`<button type="button" class="link look" @click=${() => acts.showReadings()}>${
    replaces ? "Give up the correction" : "Show what is kept"}</button>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 * @param {boolean} isUnusual
 */
function dockButtons(model, acts, isUnusual) {
  const isSound = !model.busy && !isUnusual && whyNot(model) === null;
  return (isSound ? choicesBeside(model, acts) : null) ?? mainButton(model, acts, isUnusual);
}

/**
 * @param {Model} model
 * @param {Acts} acts
 * @param {boolean} isUnusual
 */
function mainButton(model, acts, isUnusual) {
  const why = model.busy ? "Keeping" : whyNot(model);
  const { parts, index, part } = asked(model);
  const next = parts[index + 1];
  const what = next
    ? `Keep ${lowerFirst(part.label)}, go to ${lowerFirst(next.group)}`
    : `Keep ${quantityLabel(model.kind).toLowerCase()}`;
  const words = why ?? (isUnusual ? `It is right, keep ${valueText(model, part)}` : what);
  return html`<button type="button" class="btn main wide" aria-disabled=${why !== null}
    @click=${() => acts.main()}>${words}</button>`;
}

/**
 * @param {Model} model
 * @param {Part} part
 */
function valueText(model, part) {
  const field = fieldOf(model.kind, part.field);
  const value = recorded(field, entryFor(model, part.field));
  return value === null ? "" : shown(value, field);
}
