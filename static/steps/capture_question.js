/**
 * How one part of a reading is asked for: by keys, choices, the day of a print, or a device's name.
 *
 * @import { Acts } from "./capture_acts.js"
 * @import { Model } from "./capture_model.js"
 * @import { Part } from "../ui/quantities.js"
 */
import { html, nothing } from "lit-html";
import { textField } from "../ui/form.js";
import { keepFocus, keypad } from "../ui/keypad.js";
import { choicesOf, fieldOf, isFollowUp, partsOf } from "../ui/quantities.js";
import { lowerFirst } from "../ui/words.js";
import { asked, bodyOfDraft, entryFor, isDay, MADE_EARLIER, MADE_NOW, surgeryOf } from "./capture_model.js";
import { whyNot } from "./capture_words.js";

/** Common practice: where trial frames and phoropters sit. @type {Record<string, string[]>} */
const COMMON = { vertex_um: ["10.0", "11.0", "12.0", "13.0", "14.0"] };

/**
 * Return what one part of a reading is answered with: keys, choices, a day or a device.
 *
 * @param {Model} model
 * @param {Part} part
 * @param {Acts} acts
 */
export function questionView(model, part, acts) {
  if (part.type === "choice") return choiceView(model, part, acts);
  if (part.type === "device") return deviceView(model, acts);
  if (part.type === "date") return dateView(model, part, acts);
  return html`${commonValues(part, acts)}${keypad({
    field: fieldOf(model.kind, part.field),
    entry: entryFor(model, part.field),
    onKey: acts.press,
    onCannotRead: isFollowUp(model.kind) ? null : () => acts.ask("cannot-read"),
  })}`;
}

/**
 * Values that most readings have stand as keys of their own, none before the others.
 *
 * @param {Part} part
 * @param {Acts} acts
 */
function commonValues({ field, label }, acts) {
  const values = COMMON[field];
  if (!values) return nothing;
  return html`<div class="common" role="group" aria-label="${label}, common values" @mousedown=${keepFocus}>
    ${values.map((text) => html`<button type="button" class="key"
      @click=${() => acts.type(text.replace(".", ""))}>${text}</button>`)}
  </div>`;
}

/**
 * @param {Model} model
 * @param {Part} part
 * @param {Acts} acts
 */
function choiceView(model, part, acts) {
  const choices = choicesOf(model.kind, part.field);
  const isLast = closes(model);
  // These buttons keep; while nothing can be kept, the reason stands where it is pressed.
  const why = isLast && !surgeryOf(model) ? whyNot(model) : null;
  return html`<div class="ask-first stack" role="group" aria-label=${part.label}>
    <p class="t-title">${part.label}</p>
    ${why ? html`<p class="notice" role="status">${why}.</p>` : nothing}
    ${choices.map(
      ([
        value,
        words,
      ]) => html`<button type="button" class="btn full"
        aria-pressed=${model.draft.choices[part.field] === value} aria-disabled=${why ? "true" : nothing}
        @click=${() => (why ? undefined : isLast ? acts.answer(value) : acts.choose(value))}>${isLast ? answerWords(model, part, value, words) : words}</button>`,
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
function deviceView({ draft, devices, kind }, acts) {
  const chosen = draft.choices["device"] ?? "";
  return html`<div class="ask-first stack">
    ${devices.length > 0 ? html`<p class="t-small soft">Used lately here</p>` : nothing}
    <div class="choices">
      ${devices.map(
        (device) => html`<button type="button" class="btn" aria-pressed=${chosen === device}
        @click=${() => (isFollowUp(kind) ? acts.take(device) : acts.choose(device))}>${device}</button>`,
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
 * Say whether the question being asked is a choice that ends a reading after surgery: its answers
 * are then the buttons that keep.
 *
 * @param {Model} model
 */
export function closes(model) {
  const { parts, index, part } = asked(model);
  return isFollowUp(model.kind) && part.type === "choice" && index === parts.length - 1;
}

/**
 * Return what the button of an answer says: that it keeps, where nothing is asked after it.
 *
 * @param {Model} model
 * @param {Part} part
 * @param {string} value
 * @param {string} words
 */
function answerWords({ kind, draft }, { field }, value, words) {
  const answers = bodyOfDraft(kind, { ...draft, choices: { ...draft.choices, [field]: value } });
  return partsOf(kind, answers).at(-1)?.field === field ? `Keep: ${lowerFirst(words)}` : words;
}

/**
 * Return the buttons of a choice that follows a number after surgery, so that both take one page;
 * null where something else follows.
 *
 * @param {Model} model
 * @param {Acts} acts
 */
export function choicesBeside(model, acts) {
  const { parts, index, part } = asked(model);
  const next = parts[index + 1];
  if (!isFollowUp(model.kind) || part.type !== "number" || next?.type !== "choice") return null;
  return html`<div class="beside" role="group" aria-label=${next.label}>
    ${choicesOf(model.kind, next.field).map(([value, words]) => html`<button type="button"
      class="btn main" @click=${() => acts.answer(value)}>${answerWords(model, next, value, words)}</button>`)}
  </div>`;
}
