/**
 * A question to the camp, a refusal of the eye, or a decision taken back: each with its words.
 *
 * @import { Acts, Model } from "./case.js"
 */
import { html } from "lit-html";
import { textField } from "../ui/form.js";
import { keepDecision } from "./case_keep.js";
import { ownDecision } from "./case_gate.js";
import { closeSheet } from "./case_open.js";
import { keepTyped } from "./case_typed.js";

const MAX_CHARS = 500;

const SAYINGS = {
  ask: {
    title: "Ask the camp",
    label: "Your question",
    hint: "The eye goes back to the camp until it is answered; nothing can be ordered meanwhile.",
    button: "Keep the question",
    sentence: "your question goes to the camp.",
  },
  decline: {
    title: "Decline this eye",
    label: "Why it should not get this lens",
    hint: "The camp and the base read this.",
    button: "Decline",
    sentence: "declined. The camp reads why.",
  },
  withdraw: {
    title: "Take your decision back",
    label: "Why you take it back",
    hint: "It counts no more once this has arrived at the base. An order that was placed stands until a surgeon has answered and the desk has cancelled it.",
    button: "Take it back",
    sentence: "your decision is taken back.",
  },
};

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
export function sayBody(model, fold, acts) {
  const { title, label, hint, button } = sayingOf(model);
  const isEmpty = model.typed.trim() === "";
  return html`<h2 class="t-title">${title}</h2>
    <form class="stack" novalidate @submit=${(/** @type {SubmitEvent} */ event) => {
      event.preventDefault();
      void say(model, fold, acts);
    }}>
      ${textField({
        ...{ id: "say", label, hint, value: model.typed, isLong: true, maxChars: MAX_CHARS, error: model.refusal },
        onInput: (text) => {
          model.typed = text;
          model.said.set(String(model.sheet), text);
          void keepTyped(model);
          acts.redraw();
        },
      })}
      <div class="btn-row">
        <button type="button" class="btn" @click=${() => closeSheet(model, acts)}>Go back</button>
        <button type="submit" class="btn main" aria-disabled=${isEmpty || model.busy}>${isEmpty ? "Write it first" : button}</button>
      </div>
    </form>`;
}

/** @param {Model} model */
function sayingOf({ sheet }) {
  return SAYINGS[/** @type {keyof typeof SAYINGS} */ (sheet)];
}

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
async function say(model, fold, acts) {
  const text = model.typed.trim().normalize("NFC");
  if (text === "" || model.busy) return;
  const { sentence } = sayingOf(model);
  if (model.sheet === "withdraw") {
    const body = { target: ownDecision(fold, model.identity.user.id).id };
    return keepDecision(model, { kind: "plan.withdrawal", body, reason: text, sentence }, acts);
  }
  const kind = model.sheet === "ask" ? "plan.question" : "plan.decline";
  await keepDecision(model, { kind, body: { request: fold.request.id, text }, sentence }, acts);
}
