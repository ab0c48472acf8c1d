/**
 * Our own keypad: a phone's number pad has no minus and no printed point.
 *
 * Signs are two wide keys that must be pressed first; quarter dioptres are four keys. Hardware
 * keys do the same: digits, -, +, Backspace; after a point, 0 2 5 7 begin the quarters.
 *
 * @import { TemplateResult } from "lit-html"
 * @import { Entry, NumberField } from "./entry.js"
 */
import { html, nothing } from "lit-html";
import { hasQuarters, needsSignFirst, signRule } from "./entry.js";
import { icon } from "./icons.js";
import { MINUS } from "./numbers.js";

const QUARTERS = ["00", "25", "50", "75"];

/**
 * @param {{ field: NumberField, entry: Entry, onKey: (key: string) => void, onCannotRead: (() => void) | null }} pad
 * @returns {TemplateResult}
 */
export function keypad({ field, entry, onKey, onCannotRead }) {
  const withQuarters = hasQuarters(field);
  const isOff = needsSignFirst(field, entry);
  const digit = (/** @type {number} */ number) =>
    key(String(number), String(number), onKey, { isOff });
  const quarter = (/** @type {number} */ row) =>
    withQuarters ? quarterKey(QUARTERS[row] ?? "", entry, onKey, isOff) : nothing;
  return html`<div class="keypad ${withQuarters ? "" : "plain"}" role="group" aria-label="Keypad"
    @mousedown=${keepFocus}>
    ${signKeys(field, entry, onKey)}
    ${[1, 2, 3].map(digit)}${quarter(0)} ${[4, 5, 6].map(digit)}${quarter(1)}
    ${[7, 8, 9].map(digit)}${quarter(2)}
    <button type="button" class="key" aria-label="Erase last"
      @click=${() => onKey("erase")}>${icon("erase")}</button>
    ${digit(0)}
    ${onCannotRead ? html`<button type="button" class="key word" @click=${onCannotRead}>Can’t read</button>` : html`<span></span>`}
    ${quarter(3)}
  </div>`;
}

/**
 * A tapped key does not take the focus, or the next Enter would press it again instead of keeping.
 *
 * @param {Event} event
 */
export const keepFocus = (event) => event.preventDefault();

/**
 * @param {NumberField} field
 * @param {Entry} entry
 * @param {(key: string) => void} onKey
 */
function signKeys(field, entry, onKey) {
  const rule = signRule(field);
  if (rule === "no") return nothing;
  const minus = html`<button type="button" class="key sign-key" aria-pressed=${entry.sign === "-"}
    @click=${() => onKey("-")}><span aria-hidden="true">${MINUS}</span> minus</button>`;
  const plus = html`<button type="button" class="key sign-key" aria-pressed=${entry.sign === "+"}
    @click=${() => onKey("+")}><span aria-hidden="true">+</span> plus</button>`;
  if (hasQuarters(field)) return html`${minus}${plus}`;
  // Where plus is the rule and minus the exception, only the exception has a key.
  return html`<div class="signs">${minus}${rule === "must" ? plus : nothing}</div>`;
}

/**
 * @param {string} quarter
 * @param {Entry} entry
 * @param {(key: string) => void} onKey
 * @param {boolean} isOff
 */
function quarterKey(quarter, entry, onKey, isOff) {
  return html`<button type="button" class="key quarter" aria-label="point ${quarter} dioptres"
    aria-pressed=${entry.quarter === quarter} aria-disabled=${isOff}
    @click=${() => onKey(`.${quarter}`)}>.${quarter}</button>`;
}

/**
 * @param {string} name
 * @param {unknown} face
 * @param {(key: string) => void} onKey
 * @param {{ isOff: boolean }} how
 */
function key(name, face, onKey, { isOff }) {
  return html`<button type="button" class="key" aria-disabled=${isOff}
    @click=${() => onKey(name)}>${face}</button>`;
}

/**
 * Listen to hardware keys until stopped. Keys meant for a field, a sheet or a shortcut are left
 * alone, and so is Enter on a button, which presses that button.
 *
 * A typed point goes to `onKey` as ".", since a point in the wrong place must be seen, not dropped.
 *
 * @param {{ onKey: (key: string) => void, onKeep: () => void, onBack: () => void }} to
 * @returns {() => void}
 */
export function listenToKeys({ onKey, onKeep, onBack }) {
  const listener = (/** @type {KeyboardEvent} */ event) => {
    if (belongsElsewhere(event)) return;
    const name = keyName(event.key);
    if (name === "keep") onKeep();
    else if (name === "back") onBack();
    else if (name) onKey(name);
    if (name) event.preventDefault();
  };
  document.addEventListener("keydown", listener);
  return () => document.removeEventListener("keydown", listener);
}

/** @param {KeyboardEvent} event */
function belongsElsewhere(event) {
  if (event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented) return true;
  const target = /** @type {Element} */ (event.target);
  if (target.closest?.("dialog, input, textarea, select")) return true;
  return event.key === "Enter" && Boolean(target.closest?.("button, a"));
}

/**
 * @param {string} key
 * @returns {string | null}
 */
function keyName(key) {
  if (key === "Enter") return "keep";
  if (key === "Escape") return "back";
  if (key === "Backspace") return "erase";
  if (key === MINUS) return "-";
  if (key === ",") return ".";
  return /^[-+.0-9]$/.test(key) ? key : null;
}
