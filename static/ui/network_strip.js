/**
 * The strip under the head: network or not, what waits here, when the base was last heard.
 *
 * @import { TemplateResult } from "lit-html"
 * @typedef {object} NetworkStatus
 * @property {boolean} online
 * @property {string | null} lastHeard ISO instant
 * @property {number} waiting
 * @property {number} refused
 * @property {number} aside
 * @property {boolean} syncing
 * @property {boolean} needsSignIn
 * @property {number | null} [skewMs]
 */
import { html, nothing } from "lit-html";
import { moment, sinceInWords } from "./moments.js";
import { count } from "./words.js";

/** After half a day of silence the age of what is shown becomes a caution. */
const SILENT_MS = 12 * 3_600_000;
/** A clock that is off by more than this confuses people who compare times. */
const SKEW_MS = 2 * 60_000;

/**
 * @param {NetworkStatus} status
 * @returns {TemplateResult}
 */
export function networkStrip(status) {
  const isSilent = isLongSilent(status);
  return html`<section class="status-strip ${isSilent ? "old" : ""}" aria-label="Network">
    <b>${firstWord(status)}</b>
    <span>${keptWords(status)}</span>
    <span class="last">${heardWords(status, isSilent)}</span>
    ${clockWords(status)}
  </section>`;
}

/** @param {NetworkStatus} status */
export function isLongSilent({ lastHeard }) {
  return lastHeard !== null && Date.now() - Date.parse(lastHeard) > SILENT_MS;
}

/** @param {NetworkStatus} status */
function firstWord({ online, syncing, needsSignIn }) {
  if (needsSignIn) return "Sign in again to send.";
  if (!online) return "No network.";
  return syncing ? "Sending and fetching." : "Network.";
}

/** @param {NetworkStatus} status */
function keptWords({ waiting, refused, aside }) {
  const words = waiting === 0 ? "Nothing waits here." : `${count(waiting, "record")} kept here.`;
  return html`${words}
    ${refused > 0 ? html`<a href="#/outbox" class="strong">${refused} refused, needs you</a>` : nothing}
    ${aside > 0 ? html`<a href="#/outbox" class="strong">${aside} not readable here</a>` : nothing}`;
}

/**
 * @param {NetworkStatus} status
 * @param {boolean} isSilent
 */
function heardWords({ lastHeard }, isSilent) {
  if (!lastHeard) return "Base not heard yet";
  if (isSilent) return html`<b>Caution: base silent for ${sinceInWords(lastHeard)}</b>`;
  return `Base heard ${moment(lastHeard)}`;
}

/** @param {NetworkStatus} status */
function clockWords({ skewMs }) {
  if (!skewMs || Math.abs(skewMs) < SKEW_MS) return nothing;
  const minutes = Math.round(Math.abs(skewMs) / 60_000);
  return html`<span><b>This phone’s clock is off by ${count(minutes, "minute")}.</b> Set it in the
    phone’s settings; times shown here are its own.</span>`;
}
