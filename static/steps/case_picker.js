/** One field of a sheet that is picked from a list. */
import { html } from "lit-html";

/**
 * Return a list to pick from; nothing is picked beforehand.
 *
 * @param {string} label also names the field, up to its first comma
 * @param {string | number | null} value
 * @param {[string | number, string][]} choices
 * @param {(value: string) => void} onPick
 */
export function picker(label, value, choices, onPick) {
  const id = `pick-${label.split(",")[0]?.toLowerCase().replaceAll(" ", "-")}`;
  const isListed = choices.some(([name]) => name === value);
  return html`<div class="field"><label for=${id}>${label}</label>
    <select id=${id} @change=${(/** @type {any} */ event) => onPick(event.target.value)}>
      ${isListed ? "" : html`<option value="" selected disabled>Choose</option>`}
      ${choices.map(([name, words]) => html`<option value=${name} ?selected=${name === value}>${words}</option>`)}
    </select></div>`;
}
