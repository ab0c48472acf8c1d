/**
 * The way to the working of exactly the plan in view: its lens and aims stand in the address.
 *
 * @import { Eye } from "../ui/eyes.js"
 * @typedef {{ choice?: object | null, target?: object | null, surgical_change?: object | null }} Wishes
 */
import { html } from "lit-html";

const NAMES = /** @type {const} */ (["choice", "target", "surgical_change"]);

/**
 * Return the address of the working of a plan.
 *
 * @param {string} id
 * @param {Eye} eye
 * @param {Wishes} plan
 * @returns {string}
 */
export function workingHref(id, eye, plan) {
  const given = NAMES.filter((name) => plan[name]);
  if (given.length === 0) return `#/working/${id}/${eye}`;
  const wishes = Object.fromEntries(given.map((name) => [name, plan[name]]));
  return `#/working/${id}/${eye}/${encodeURIComponent(JSON.stringify(wishes))}`;
}

/**
 * Return what an address asks for: nothing, and so the recommended lens, where it is cut short.
 *
 * @param {string | undefined} text
 * @returns {Wishes}
 */
export function wishesFrom(text) {
  if (!text) return {};
  try {
    const found = JSON.parse(decodeURIComponent(text));
    return Object.fromEntries(NAMES.map((name) => [name, found[name] ?? null]));
  } catch (error) {
    if (error instanceof SyntaxError || error instanceof URIError) return {};
    throw error;
  }
}

/**
 * @param {string} id
 * @param {Eye} eye
 * @param {Wishes} plan
 */
export function workingLink(id, eye, plan) {
  return html`<p class="gap-top"><a class="link" href=${workingHref(id, eye, plan)}>Show the working</a></p>`;
}
