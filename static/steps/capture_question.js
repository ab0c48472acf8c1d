/**
 * How one part of a reading is asked for: by keys, choices, the day of a print, or a device's name.
 *
 * @import { Acts } from "./capture_acts.js"
 * @import { Model } from "./capture_model.js"
 * @import { Part } from "../ui/quantities.js"
 */
import { html, nothing } from "lit-html";
import { textField } from "../ui/form.js";
import { keypad } from "../ui/keypad.js";
import { choicesOf, fieldOf, isFollowUp } from "../ui/quantities.js";
import { entryFor, isDay, MADE_EARLIER, MADE_NOW } from "./capture_model.js";

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
