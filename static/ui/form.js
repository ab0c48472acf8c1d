/**
 * Fields of a form: never filled in beforehand, each with its label, its hint and its error.
 *
 * @import { TemplateResult } from "lit-html"
 */
import { html, nothing } from "lit-html";
import { live } from "lit-html/directives/live.js";
import { icon } from "./icons.js";

/**
 * @param {object} field
 * @param {string} field.id
 * @param {string} field.label
 * @param {string} field.value what was typed so far
 * @param {(text: string) => void} field.onInput
 * @param {string | null} [field.error]
 * @param {string} [field.hint]
 * @param {string} [field.type]
 * @param {"text" | "numeric" | "tel" | "search"} [field.inputmode]
 * @param {number} [field.maxChars]
 * @param {string} [field.autocomplete]
 * @param {boolean} [field.isLong]
 * @returns {TemplateResult}
 */
export function textField(field) {
  const { id, label, hint, error = null } = field;
  return html`<div class="field">
    <label for=${id}>${label}</label>
    ${hint ? html`<p class="hint" id="${id}-hint">${hint}</p>` : nothing}
    ${field.isLong ? textArea(field) : input(field)} ${fieldError(id, error)}
  </div>`;
}

/** @param {Parameters<typeof textField>[0]} field */
function input({ id, value, onInput, error, hint, type, inputmode, maxChars, autocomplete }) {
  return html`<input id=${id} name=${id} type=${type ?? "text"} .value=${live(value)}
    inputmode=${inputmode ?? nothing} maxlength=${maxChars ?? nothing}
    autocomplete=${autocomplete ?? "off"} autocapitalize="off" spellcheck="false"
    aria-invalid=${error ? "true" : nothing} aria-describedby=${describedBy(id, hint, error)}
    @input=${(/** @type {InputEvent} */ event) => onInput(textOf(event))} />`;
}

/** @param {Parameters<typeof textField>[0]} field */
function textArea({ id, value, onInput, error, hint, maxChars }) {
  return html`<textarea id=${id} name=${id} .value=${live(value)} maxlength=${maxChars ?? nothing}
    autocomplete="off" aria-invalid=${error ? "true" : nothing}
    aria-describedby=${describedBy(id, hint, error)}
    @input=${(/** @type {InputEvent} */ event) => onInput(textOf(event))}></textarea>`;
}

/**
 * A question with a few answers, none chosen beforehand.
 *
 * @param {object} question
 * @param {string} question.id
 * @param {string} question.label
 * @param {readonly (readonly [string, string])[]} question.choices
 * @param {string | null} question.value
 * @param {(value: string) => void} question.onChoose
 * @param {string | null} [question.error]
 * @param {string | TemplateResult} [question.hint]
 * @param {"" | "one" | "three"} [question.columns]
 * @returns {TemplateResult}
 */
export function choiceField({
  id,
  label,
  choices,
  value,
  onChoose,
  error = null,
  hint,
  columns = "",
}) {
  return html`<fieldset class="question" id=${id} aria-describedby=${describedBy(id, hint, error)}>
    <legend class="label">${label}</legend>
    ${hint ? html`<p class="hint" id="${id}-hint">${hint}</p>` : nothing}
    <div class="choices ${columns}">
      ${choices.map(
        ([name, words]) => html`<label class="choice"><input type="radio" name=${id} value=${name}
          .checked=${live(value === name)} @change=${() => onChoose(name)}
          /><span>${words}</span></label>`,
      )}
    </div>
    ${fieldError(id, error)}
  </fieldset>`;
}

/**
 * Return the list of what keeps a form from being saved; each line leads to its field.
 *
 * @param {{ field: string, label: string, message: string }[]} errors
 * @returns {TemplateResult | typeof nothing}
 */
export function errorList(errors) {
  if (errors.length === 0) return nothing;
  return html`<div class="error-list" role="alert" tabindex="-1" id="errors">
    <p class="t-head">Not saved yet. What you typed is still here.</p>
    <ul>
      ${errors.map(
        ({ field, label, message }) => html`<li>
          <button type="button" class="link"
            @click=${() => focusField(field)}>${lineOf(label, message)}</button>
        </li>`,
      )}
    </ul>
  </div>`;
}

/**
 * @param {string} label
 * @param {string} message
 */
function lineOf(label, message) {
  if (message.includes(label)) return message;
  return `${label}${label.endsWith("?") ? "" : ":"} ${message}`;
}

/**
 * Bring a field into view and put the cursor in it.
 *
 * @param {string} id
 */
export function focusField(id) {
  const field = document.getElementById(id);
  const target = field?.matches("fieldset") ? field.querySelector("input") : field;
  /** @type {HTMLElement | null | undefined} */ (target)?.focus();
}

/**
 * @param {string} id
 * @param {string | null} error
 */
function fieldError(id, error) {
  if (!error) return nothing;
  return html`<p class="field-error" id="${id}-error">${icon("caution")}<span>${error}</span></p>`;
}

/**
 * @param {string} id
 * @param {string | TemplateResult | undefined} hint
 * @param {string | null | undefined} error
 */
function describedBy(id, hint, error) {
  const names = [hint ? `${id}-hint` : "", error ? `${id}-error` : ""].filter(Boolean).join(" ");
  return names || nothing;
}

/** @param {InputEvent} event */
const textOf = (event) => /** @type {HTMLInputElement} */ (event.target).value;
