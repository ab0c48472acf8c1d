/**
 * Which vault model speaks in a plan, and who answers for it.
 */
import { html } from "lit-html";

/**
 * @param {any} plan with a model
 * @param {Map<string, string>} names what each person is called, by user id
 */
export function modelLine({ model }, names) {
  return html`<p class="t-micro soft gap-top">Model: ${modelText(model, names)}</p>`;
}

/**
 * Model, diameter, device and eyes in a sentence; the default prior was adopted by nobody.
 *
 * @param {{ text: string, author: string | null, withdrawn: string | null }} model
 * @param {Map<string, string>} names
 */
export function modelText({ text, author, withdrawn }, names) {
  const by = author === null ? "" : `; adopted by ${names.get(author) ?? "a colleague"}`;
  return [`${text}${by}.`, withdrawn].filter(Boolean).join(" ");
}
