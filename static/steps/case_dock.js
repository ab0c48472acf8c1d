/**
 * The foot of the surgeon's page: what can be decided now, or the reason why not yet.
 *
 * @import { Acts, Model } from "./case.js"
 * @import { Hindrance } from "./case_gate.js"
 */
import { html, nothing } from "lit-html";
import { eyeMark, eyeWord } from "../ui/eyes.js";
import { approvalHindrance, ownDecision, READ_ON } from "./case_gate.js";
import { asksForAnswer } from "./case_late.js";
import { openSheet } from "./case_open.js";
import { maySettle } from "./case_settle.js";

const CAN_ANSWER = new Set(["queued", "stale", "conflict"]);
/** So much of the screen that the last lines read are still there after the move. */
const PAGE_SHARE = 0.6;

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
export function dock(model, fold, acts) {
  const open = (/** @type {Model["sheet"]} */ sheet) => () => openSheet(model, sheet, acts);
  const hindrance = approvalHindrance(model);
  return html`<div class="dock">
    ${CAN_ANSWER.has(fold.state) ? html`<button type="button" class="btn" @click=${open("decline")}>Decline</button>
        <button type="button" class="btn" @click=${open("ask")}>Ask</button>` : nothing}
    ${ownDecision(fold, model.identity.user.id)
      ? html`<button type="button" class="btn" @click=${open("withdraw")}>Take back</button>` : nothing}
    ${settlingButton(model, fold, acts) ?? html`<button type="button" class="btn main wide" aria-disabled=${hindrance !== null}
      @click=${hindrance === null ? open("approve") : () => goTo(hindrance)}>
      ${hindrance ? nothing : eyeMark(model.eye)}<span>${hindrance?.words ?? `Approve ${eyeWord(model.eye).toLowerCase()}`}</span></button>`}
  </div>`;
}

/**
 * Where the eye waits for a settlement or an answer of this surgeon, that is what the dock offers.
 *
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
function settlingButton(model, fold, acts) {
  const mayDecide = maySettle(fold, model.identity.user.id);
  if (!mayDecide && !asksForAnswer(fold)) return null;
  const sheet = mayDecide ? "settle" : "late";
  return html`<button type="button" class="btn main wide" @click=${() => openSheet(model, sheet, acts)}>
    ${eyeMark(model.eye)}<span>${mayDecide ? "Settle" : "Answer"} for the ${eyeWord(model.eye).toLowerCase()}</span></button>`;
}

/**
 * Bring what is in the way before the eyes; nothing is done in the surgeon's place.
 *
 * @param {Hindrance} hindrance
 */
export function goTo({ place }) {
  if (place === null) return;
  if (place === READ_ON) return scrollBy({ top: innerHeight * PAGE_SHARE });
  const element = document.getElementById(place);
  const fold = element?.closest("details");
  if (fold) fold.open = true;
  element?.focus();
  element?.scrollIntoView({ block: "center" });
}
