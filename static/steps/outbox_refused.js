/**
 * A refused record: what the base said, and the ways out: take it again, send it again, withdraw it.
 *
 * @import { Refusal } from "./outbox.js"
 */
import { html, nothing } from "lit-html";
import { kindNamed } from "../records/kinds.js";
import { tryAgain } from "../store/outbox.js";
import { syncNow } from "../sync/client.js";
import { eyeFrom, eyeWord } from "../ui/eyes.js";
import { textField } from "../ui/form.js";
import { icon } from "../ui/icons.js";
import { moment } from "../ui/moments.js";
import { QUANTITIES, slugOf } from "../ui/quantities.js";
import { sheet } from "../ui/sheet.js";

/**
 * @typedef {{ id: string, words: string, reason: string, error: string | null }} Withdrawing
 * @typedef {object} Acts
 * @property {(row: Refusal) => void} ask open the sheet that asks why
 * @property {(reason: string) => void} reason
 * @property {() => void} withdraw
 * @property {() => void} close
 *
 * @param {Refusal} row
 * @param {Acts} acts
 */
export function refusedView(row, acts) {
  return html`<div>
    <div class="finding stop">
      ${icon("stop")}
      <div class="title"><span class="level">Refused.</span> Needs you</div>
      <p><span class="strong">${recordWords(row)}.</span>
        ${row.message} Kept on this phone, not used in any plan.</p>
    </div>
    <div class="btn-row gap-top">
      ${placeOf(row)}
      ${row.code === "box.broken" ? nothing : html`<button type="button" class="btn"
        @click=${() => void tryAgain(row.id).then(() => syncNow())}>Send it again</button>`}
      <button type="button" class="btn" @click=${() => acts.ask(row)}>Withdraw it</button>
    </div>
  </div>`;
}

/**
 * Return which record it is: person, eye, kind, time.
 *
 * @param {Pick<Refusal, "name" | "eye" | "kind" | "wall">} row
 */
export function recordWords({ name, eye, kind, wall }) {
  const found = eyeFrom(eye ?? undefined);
  const whose = found ? `, ${eyeWord(found).toLowerCase()}` : "";
  return `${name}${whose}, ${kindNamed(kind).title.toLowerCase()}, ${madeAt(wall)}`;
}

/** @param {string | null} wall null where the record does not open any more */
export const madeAt = (wall) => (wall === null ? "time not readable" : moment(wall));

/**
 * @param {Withdrawing} asking
 * @param {Acts} acts
 */
export function withdrawSheet({ words, reason, error }, acts) {
  const title = "Why is this record withdrawn?";
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    acts.withdraw();
  };
  const body = html`<form class="form" @submit=${submit} novalidate>
    <h2 class="t-title">${title}</h2>
    <p class="t-small">${words}. It stays on this phone, is sent no more and counts for nothing.</p>
    ${textField({ id: "reason", label: "Reason", value: reason, error, isLong: true, maxChars: 500, onInput: acts.reason })}
    <div class="btn-row">
      <button type="button" class="btn" @click=${() => acts.close()}>Go back</button>
      <button type="submit" class="btn main">Withdraw this record</button>
    </div>
  </form>`;
  return sheet({ label: title, body, onClose: acts.close });
}

/** @param {Refusal} row */
function placeOf({ person, isHere, eye, kind }) {
  if (!isHere) return nothing;
  const href =
    eye && QUANTITIES.includes(kind)
      ? `#/capture/${person}/${eye}/${slugOf(kind)}`
      : `#/person/${person}`;
  return html`<a class="btn"
    href=${href}>${href.startsWith("#/capture") ? "Take it again" : "Open the person"}</a>`;
}
