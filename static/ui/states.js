/**
 * The state of one eye's case as a word with a shape.
 *
 * @import { TemplateResult } from "lit-html"
 */
import { html } from "lit-html";
import { icon } from "./icons.js";

/** @type {Record<string, { words: string, shape: Parameters<typeof icon>[0] | null, look: string }>} */
const STATES = {
  measuring: { words: "Measuring", shape: null, look: "state" },
  ready: { words: "Ready to send", shape: null, look: "state" },
  queued: { words: "With surgeon", shape: "wait", look: "state" },
  returned: { words: "Surgeon asks", shape: "question", look: "caution" },
  approved: { words: "Approved", shape: "tick", look: "done" },
  stale: { words: "Approval stale", shape: "stale", look: "stale" },
  conflict: { words: "Two decisions", shape: "stop", look: "stop" },
  ordered: { words: "Ordered", shape: "tick", look: "done" },
  confirmed: { words: "Order confirmed", shape: "tick", look: "done" },
  received: { words: "Lens arrived", shape: "tick", look: "done" },
  verified: { words: "Lens verified", shape: "tick", look: "done" },
  exchange_considered: { words: "Exchange considered", shape: "question", look: "state" },
  implanted: { words: "Implanted", shape: "tick", look: "done" },
  followed: { words: "Seen after surgery", shape: "tick", look: "done" },
  declined: { words: "Declined", shape: "note", look: "state" },
  cancelled: { words: "Order cancelled", shape: "note", look: "state" },
};

/** @type {Record<string, string>} */
const ONLY_HERE = { approved: "Approved, not yet at the base", queued: "Waits to be sent" };

/** States of an eye whose order stands, until its surgery. */
export const ORDERED = ["ordered", "confirmed", "received", "verified"];

/**
 * Return the state's label. An approval or a request that the base has not received says so.
 *
 * @param {string} state
 * @param {{ atBase?: boolean }} [where]
 * @returns {TemplateResult}
 */
export function stateTag(state, { atBase = true } = {}) {
  const found = STATES[state] ?? { words: state, shape: null, look: "state" };
  const words = atBase ? found.words : (ONLY_HERE[state] ?? found.words);
  return tag(found.look, found.shape, words);
}

/**
 * Return the state in words.
 *
 * @param {string} state
 * @returns {string}
 */
export function stateWords(state) {
  return STATES[state]?.words ?? state;
}

/**
 * Return a small label of a look, a shape and words.
 *
 * @param {string} look a class of `.tag`
 * @param {Parameters<typeof icon>[0] | null} shape
 * @param {unknown} words
 * @returns {TemplateResult}
 */
export function tag(look, shape, words) {
  return html`<span class="tag ${look}">${shape ? icon(shape) : ""}<span>${words}</span></span>`;
}
