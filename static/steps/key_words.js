/**
 * This phone's key in words: the eight to compare, and what it means that it waits or was revoked.
 *
 * @import { TemplateResult } from "lit-html"
 * @import { Standing } from "../store/key_standing.js"
 */
import { html, nothing } from "lit-html";
import { wordsOf } from "../records/fingerprint.js";
import { moment } from "../ui/moments.js";

/**
 * Return the strip that stands on every page while the key does not count, else nothing.
 *
 * @param {Standing | null} standing
 */
export function keyStrip(standing) {
  if (standing?.state === "waiting") {
    return html`<div class="status-strip" role="status">
      <b>This phone waits to be confirmed.</b>
      <span>What is kept here is sent, and counts once an administrator has compared its words.</span>
      <a class="strong" href="#/me">Show the words</a>
    </div>`;
  }
  const ended = endedWords(standing);
  if (!ended) return nothing;
  return html`<div class="status-strip old" role="status">
    <b>${ended} Nothing can be recorded with it.</b>
    <span>What the base has not taken stays in the <a class="strong" href="#/outbox">outbox</a>.
      <a class="strong" href="#/sign-in/online">Sign in with the network</a> for a new key.</span>
  </div>`;
}

/**
 * Return the words of the key and how it stands.
 *
 * @param {string} kid
 * @param {Standing | null} standing
 * @returns {TemplateResult}
 */
export function keyWords(kid, standing) {
  return html`<p class="t-small">${standingWords(standing)}</p>
    <ol class="key-words" aria-label="The eight words of this phone">
      ${wordsOf(kid).map((word) => html`<li>${word}</li>`)}
    </ol>`;
}

/** @param {Standing | null} standing */
function standingWords(standing) {
  const ended = endedWords(standing);
  if (ended) return ended;
  if (standing?.state === "waiting") {
    return (
      "Show these words to the administrator, who compares them with those at the desk. Until " +
      "then nothing from this phone counts; nothing is lost."
    );
  }
  return standing?.state === "confirmed"
    ? "The base counts what this phone signs."
    : "The base has not said yet how this key stands.";
}

/** @param {Standing | null} standing */
function endedWords(standing) {
  const at = standing?.since ? ` ${moment(standing.since)}` : "";
  if (standing?.state === "revoked") return `This phone’s key was revoked${at}.`;
  return standing?.state === "closed" ? `This phone’s key was closed${at}.` : "";
}
