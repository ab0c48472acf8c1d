/**
 * The strip on every page while an urgent reading is known to nobody else: it goes when the base
 * has the reading, or when somebody has written down who was told.
 */
import { html, nothing } from "lit-html";
import { eyeWord } from "../ui/eyes.js";
import { icon } from "../ui/icons.js";
import { alarmsNow } from "./urgent_watch.js";

/** @returns {unknown} */
export function urgentStrip() {
  const alarms = alarmsNow();
  if (alarms.length === 0) return nothing;
  return html`<section class="urgent-strip" aria-label="Urgent" role="alert">
    ${alarms.map(
      ({ person, name, camp_code, eye, text }) => html`<a href="#/urgent/${person}/${eye}">
        ${icon("stop")}<span><b>Act now: ${name}, ${camp_code}, ${eyeWord(eye).toLowerCase()}.</b> ${text}.
        The base does not have it, and nobody wrote down who was told.</span></a>`,
    )}
  </section>`;
}
