/**
 * What happened to an eye since this surgeon last looked at it.
 *
 * @import { Model } from "./case.js"
 * @typedef {{ mark: string, state: string, records: string[], at: string }} Seen
 * @typedef {{ id: string, kind: string, text: string, author: string, wall: string }} Line
 */
import { html, nothing } from "lit-html";
import { moment } from "../ui/moments.js";
import { stateWords } from "../ui/states.js";
import { nameIn } from "./case_decision.js";

/** What stands in full words right below is only named here. */
const BELOW = new Map([
  ["plan.question", "A question"],
  ["plan.answer", "An answer"],
  ["plan.decline", "Declined"],
]);

/**
 * Return what to remember of an eye as it stands before its surgeon now.
 *
 * @param {any} fold
 * @param {string} mark
 * @param {string} at
 * @returns {Seen}
 */
export function seenNow({ state, timeline }, mark, at) {
  return { mark, state, records: timeline.map((/** @type {Line} */ { id }) => id), at };
}

/**
 * Return the records of others that came since, oldest first.
 *
 * @param {Seen | null} before
 * @param {any} fold
 * @param {string} userId whose own records are no news
 * @returns {Line[]}
 */
export function newsSince(before, { timeline }, userId) {
  if (!before) return [];
  const known = new Set(before.records);
  return timeline.filter((/** @type {Line} */ { id, author }) => !known.has(id) && author !== userId);
}

/**
 * @param {Model} model
 * @param {any} fold
 */
export function sinceSection(model, fold) {
  const { before, identity } = model;
  const news = newsSince(before, fold, identity.user.id);
  const isMoved = before !== null && before.state !== fold.state && news.length > 0;
  if (!before || news.length === 0) return nothing;
  const name = nameIn(model);
  return html`<section class="since gap-top" aria-label="Changed since you looked">
    <h2 class="t-head">Changed since you looked, ${moment(before.at)}</h2>
    ${isMoved ? html`<p class="t-small">It was: ${stateWords(before.state)}. Now: ${stateWords(fold.state)}.</p>` : nothing}
    <ul class="t-small">${news.map(({ kind, text, author, wall }) => html`<li>${BELOW.get(kind) ?? text}
      <span class="soft">(${name(author)}, ${moment(wall)})</span></li>`)}</ul>
  </section>`;
}
