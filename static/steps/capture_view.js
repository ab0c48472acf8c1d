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
import { textField } from "../ui/form.js";
import { notKeptLine } from "../ui/kept_line.js";
import { keypad } from "../ui/keypad.js";
import { age } from "../ui/moments.js";
import { shown } from "../ui/numbers.js";
import { pageHead } from "../ui/page.js";
import { choicesOf, fieldOf, isFollowUp, quantityLabel, slugOf } from "../ui/quantities.js";
import { slits } from "../ui/slits.js";
import { emptyLine } from "../ui/waiting.js";
import { lowerFirst } from "../ui/words.js";
import { unusualNow, whyNot } from "./capture_acts.js";
import { asked, entryFor, isDay, LEFT_BEHIND, MADE_EARLIER, MADE_NOW } from "./capture_model.js";
import { hero, readBack } from "./capture_value.js";
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
  const otherHref = `#/capture/${id}/${otherEye(eye)}/${slugOf(kind)}`;
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
  return html`<div class="entry">
      <h2 class="ask"><span>${quantityLabel(model.kind)}</span>${countWords(model, part, acts)}</h2>
      ${parts.length > 1 ? partBar(parts, index, acts) : nothing}
      ${part.type === "number" ? hero(model, part) : nothing} ${readBack(model, part)}
    </div>
    ${model.trouble ? notKeptLine(model.trouble) : nothing}
    ${model.hint ? hintBlock(model, acts) : nothing}
    ${warning ? findingBlock({ level: "caution", title: "Unusual.", text: warning, do: "Read it again." }) : nothing}
    ${questionView(model, part, acts)}
    <div class="dock">${mainButton(model, acts, warning !== null)}</div>`;
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
 * @param {Model} model
 * @param {Part} part
 * @param {Acts} acts
 */
function questionView(model, part, acts) {
  if (part.type === "choice") return choiceView(model, part, acts);
  if (part.type === "device") return deviceView(model, acts);
  if (part.type === "date") return dateView(model, part, acts);
  return keypad({
    field: fieldOf(model.kind, part.field),
    entry: entryFor(model, part.field),
    onKey: acts.press,
    onCannotRead: isFollowUp(model.kind) ? null : () => acts.ask("cannot-read"),
  });
}

/**
 * @param {Model} model
 * @param {Part} part
 * @param {Acts} acts
 */
function choiceView(model, part, acts) {
  const choices = choicesOf(model.kind, part.field);
  return html`<div class="ask-first stack" role="group" aria-label=${part.label}>
    <p class="t-title">${part.label}</p>
    ${choices.map(
      ([
        value,
        words,
      ]) => html`<button type="button" class="btn full"
        aria-pressed=${model.draft.choices[part.field] === value}
        @click=${() => acts.choose(value)}>${words}</button>`,
    )}
    ${isFollowUp(model.kind) ? nothing : html`<button type="button" class="btn quiet"
      @click=${() => acts.ask("cannot-read")}>Can’t read</button>`}
  </div>`;
}

/**
 * @param {Model} model
 * @param {Part} part
 * @param {Acts} acts
 */
function dateView({ draft }, { field, label, optional }, acts) {
  const chosen = draft.choices[field] ?? "";
  const isEarlier = !optional || chosen === MADE_EARLIER || isDay(chosen);
  return html`<div class="ask-first stack">
    ${optional ? whenMade(chosen, label, isEarlier, acts) : nothing}
    ${isEarlier
      ? textField({
          id: field,
          label: optional ? "Day on it" : label,
          type: "date",
          hint: "As it is written there; where the day is missing, the last of its month",
          value: isDay(chosen) ? chosen : "",
          onInput: (value) => acts.choose(value || (optional ? MADE_EARLIER : "")),
        })
      : nothing}
    <button type="button" class="btn quiet" @click=${() => acts.ask("cannot-read")}>Can’t read</button>
  </div>`;
}

/**
 * A field left empty, or half typed, would make an old map a fresh one; so it is asked.
 *
 * @param {string} chosen
 * @param {string} label
 * @param {boolean} isEarlier
 * @param {Acts} acts
 */
function whenMade(chosen, label, isEarlier, acts) {
  const answer = (/** @type {string} */ value, /** @type {string} */ words, isPressed = false) =>
    html`<button type="button" class="btn full" aria-pressed=${isPressed}
      @click=${() => acts.choose(value)}>${words}</button>`;
  return html`<div class="stack" role="group" aria-label=${label}>
    <p class="t-title">${label}</p>
    ${answer(MADE_NOW, "Now, with this reading", chosen === MADE_NOW)}
    ${answer(MADE_EARLIER, "Earlier, such as a print", isEarlier)}
  </div>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function deviceView({ draft, devices }, acts) {
  const chosen = draft.choices["device"] ?? "";
  return html`<div class="ask-first stack">
    ${devices.length > 0 ? html`<p class="t-small soft">Used lately here</p>` : nothing}
    <div class="choices">
      ${devices.map(
        (device) => html`<button type="button" class="btn" aria-pressed=${chosen === device}
        @click=${() => acts.choose(device)}>${device}</button>`,
      )}
    </div>
    <div class="field">
      <label for="device">Device, as the camp names it</label>
      <input id="device" type="text" maxlength="60" autocomplete="off" autocapitalize="off"
        spellcheck="false"
        .value=${chosen} @input=${(/** @type {any} */ event) => acts.choose(event.target.value)}
        @keydown=${(/** @type {KeyboardEvent} */ event) => event.key === "Enter" && acts.enter()} />
    </div>
  </div>`;
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
function countWords({ readings, draft }, part, acts) {
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
