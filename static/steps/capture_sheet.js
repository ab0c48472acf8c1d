/**
 * The sheet that asks why: why a value cannot be read, or why a reading is corrected or withdrawn.
 *
 * @import { Acts } from "./capture_acts.js"
 * @import { Model } from "./capture_model.js"
 */
import { html } from "lit-html";
import { eyeName, eyeWord } from "../ui/eyes.js";
import { textField } from "../ui/form.js";
import { quantityLabel } from "../ui/quantities.js";
import { readingSentence } from "../ui/readings.js";
import { sheet } from "../ui/sheet.js";

const WORDS = {
  "cannot-read": {
    title: "Why can it not be read?",
    does: "Keep: could not be read",
    means: "The surgeon sees the reason; the quantity stays missing until somebody reads it.",
  },
  withdraw: {
    title: "Why is this reading withdrawn?",
    does: "Withdraw this reading",
    means: "It stays in the record, marked as withdrawn, and counts for nothing.",
  },
  correct: {
    title: "Why is it corrected?",
    does: "Keep the correction",
    means: "The first value stays in the record behind the new one.",
  },
};

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function reasonSheet(model, acts) {
  const asking = /** @type {NonNullable<Model["asking"]>} */ (model.asking);
  const { title, does, means } = WORDS[asking.what];
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    acts.answerSheet();
  };
  const aloud = `${eyeName(model.eye)}. ${whatIsAsked(model)} ${means}`;
  const body = html`<form class="form" @submit=${submit} novalidate>
    <h2 class="t-title">${title}</h2>
    <p class="t-small" aria-label=${aloud}>${whatIsAsked(model)} ${means}</p>
    ${textField({
      id: "reason",
      label: "Reason",
      value: asking.reason,
      error: asking.error,
      isLong: true,
      maxChars: 500,
      onInput: acts.reason,
    })}
    <div class="btn-row">
      <button type="button" class="btn" @click=${() => acts.closeSheet()}>Go back</button>
      <button type="submit" class="btn main" aria-disabled=${model.busy}>${does}</button>
    </div>
  </form>`;
  return sheet({ label: title, body, onClose: acts.closeSheet });
}

/**
 * Of several readings the sheet hides the list: the one to be withdrawn is said whole.
 *
 * @param {Model} model
 */
function whatIsAsked({ asking, eye, kind, readings }) {
  const reading = readings.find(({ id }) => asking?.what === "withdraw" && id === asking.target);
  if (reading) return readingSentence(eye, kind, reading.payload.body);
  return `${eyeWord(eye)}, ${quantityLabel(kind).toLowerCase()}.`;
}
