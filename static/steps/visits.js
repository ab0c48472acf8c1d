/**
 * The visits after a surgery: how an eye stands with them, and which were kept.
 *
 * @typedef {{ name: string, due: string, state: string, day: number | null }} Visit
 * @typedef {{ state: string, text: string, due: string | null, next: string | null, visits: Visit[] }} Schedule
 */
import { html, nothing } from "lit-html";
import { day } from "../ui/moments.js";
import { tag } from "../ui/states.js";

/** @type {Record<string, unknown>} */
const TAGS = {
  lost: tag("stop", "stop", "Lost to follow-up"),
  overdue: tag("caution", "caution", "Overdue"),
  due: tag("state", "wait", "Due now"),
};

/** @type {Record<string, string>} */
const WORDS = { missed: "missed", later: "to come", due: "due now", overdue: "overdue", lost: "lost" };

/**
 * @param {string} word the eye, in words
 * @param {Schedule} schedule
 */
export function visitsOf(word, schedule) {
  return html`<div class="gap-top">${visitTag(schedule.state)} <p class="t-small">${schedule.text}</p></div>
    <details class="more-findings"><summary>Visits</summary>
      <ul class="rows" aria-label="Visits, ${word.toLowerCase()}">
        ${schedule.visits.map(
          (one) => html`<li class="row t-small"><span>${one.name}</span>
            <span class="meta">${day(one.due)}, ${visitWords(one)}</span></li>`,
        )}
      </ul></details>`;
}

/** @param {string} state */
export const visitTag = (state) => TAGS[state] ?? nothing;

/** @param {Visit} visit */
function visitWords({ state, day: seen }) {
  return state === "kept" ? `seen on day ${Math.max(seen ?? 0, 0)}` : (WORDS[state] ?? state);
}
