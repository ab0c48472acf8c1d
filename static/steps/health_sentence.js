/**
 * What was asked about general health, as one sentence; a plan does not wait for it.
 *
 * @typedef {Record<string, any>} Health
 */
import { html, nothing } from "lit-html";
import { kindNamed } from "../records/kinds.js";
import { sectionHead } from "../ui/page.js";
import { fieldOf } from "../ui/quantities.js";

export const HEALTH = "history.health";

/** The questions, in the order in which they are asked. */
export const HEALTH_QUESTIONS = Object.entries(kindNamed(HEALTH).fields)
  .filter(([, { type }]) => type === "choice")
  .map(([name]) => name);

/**
 * @param {string} id the person
 * @param {Health | null} health
 */
export function healthSection(id, health) {
  const link = html`<a class="link"
    href="#/person/${id}/health">${health ? "Change" : "Ask, if you can"}</a>`;
  return html`${sectionHead("General health", link)}
    ${health ? html`<p class="t-small">${healthWords(health)}</p>` : nothing}`;
}

/**
 * Return what is there first, then what nobody asked; what is not there is not listed.
 *
 * @param {Health} health
 */
export function healthWords(health) {
  const named = (/** @type {string} */ answer) =>
    HEALTH_QUESTIONS.filter((name) => health[name] === answer)
      .map((name) => fieldOf(HEALTH, name).label.replace(/\?$/, ""))
      .join("; ");
  const there = named("yes");
  const open = named("not_asked");
  const note = health["note"] ? `${health["note"].replace(/\.$/, "")}. ` : "";
  const asked = open ? html`<span class="strong">Not asked: ${open}.</span>` : nothing;
  return html`${there ? `Yes: ${there}. ` : "Nothing reported. "}${note}${asked}`;
}
