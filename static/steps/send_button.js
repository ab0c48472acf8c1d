/**
 * What can be done with an eye as a whole: send it, or see why it cannot go yet.
 *
 * @import { Eye } from "../ui/eyes.js"
 */
import { html } from "lit-html";
import { eyeMark, eyeWord } from "../ui/eyes.js";
import { stateWords } from "../ui/states.js";

/**
 * @param {string} id the person
 * @param {Eye} eye
 * @param {{ state: string, missing: unknown[] }} fold
 */
export function sendButton(id, eye, { state, missing }) {
  const href = `#/plan/${id}/${eye}`;
  const word = eyeWord(eye);
  if (missing.length > 0) {
    return html`<a class="btn off wide" href=${href}>${eyeMark(eye)}<span>${word}:
      ${missing.length} missing</span></a>`;
  }
  if (state === "ready") {
    return html`<a class="btn main wide" href=${href}>${eyeMark(eye)}<span>Send
      ${word.toLowerCase()}</span></a>`;
  }
  return html`<a class="btn wide" href=${href}>${eyeMark(eye)}<span>${word}:
    ${stateWords(state).toLowerCase()}</span></a>`;
}
