/**
 * A decision that asks for a reason and the passphrase: both fields, and keeping it once it is right.
 *
 * @import { Acts, Model } from "./case.js"
 * @typedef {"settle" | "late"} Sheet
 */
import { html } from "lit-html";
import { checkPassphrase } from "../store/unlock.js";
import { choiceField, textField } from "../ui/form.js";
import { passphraseField } from "./case_approve.js";
import { reasonIn } from "./case_gate.js";
import { keepDecision } from "./case_keep.js";
import { closeSheet } from "./case_open.js";
import { keepTyped } from "./case_typed.js";

const MAX_CHARS = 500;

/**
 * Draw the choices, the reason, the passphrase and the button.
 *
 * @param {Model} model
 * @param {{ sheet: Sheet, question: string, choices: [string, string][], hint: string, button: string, keep: () => void }} form
 * @param {Acts} acts
 */
export function confirmForm(model, { sheet, question, choices, hint, button, keep }, acts) {
  const lack = missing(model, sheet);
  return html`<form class="stack" novalidate @submit=${(/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    if (!lack && !model.busy) keep();
  }}>
    ${choiceField({
      ...{ id: "chosen", label: question, choices, value: model.chosen, error: null },
      onChoose: (value) => {
        model.chosen = value;
        acts.redraw();
      },
    })}
    ${textField({
      ...{ id: "reason", label: "Why", hint, value: model.said.get(sheet) ?? "", isLong: true, maxChars: MAX_CHARS, error: null },
      onInput: (text) => {
        model.said.set(sheet, text);
        void keepTyped(model);
        acts.redraw();
      },
    })}
    ${passphraseField(model, acts)}
    <div class="btn-row">
      <button type="button" class="btn" @click=${() => closeSheet(model, acts)}>Go back</button>
      <button type="submit" class="btn main" aria-disabled=${lack !== null || model.busy}>${model.busy ? "Checking" : lack ?? button}</button>
    </div>
  </form>`;
}

/**
 * Return what is still to be filled in, as the button says it, or null.
 *
 * @param {Pick<Model, "chosen" | "said" | "typed">} model
 * @param {Sheet} sheet
 * @returns {string | null}
 */
export function missing(model, sheet) {
  if (model.chosen === null) return "Choose first";
  if (reasonIn(model.said.get(sheet)) === null) return "Say why first";
  return model.typed === "" ? "Passphrase first" : null;
}

/**
 * Keep the decision if the passphrase is right and nothing newer closed the sheet meanwhile.
 *
 * @param {Model} model
 * @param {{ sheet: Sheet, kind: string, body: object, sentence: string }} decision what stood on the
 *   sheet when the passphrase was typed
 * @param {Acts} acts
 */
export async function keepConfirmed(model, { sheet, ...decision }, acts) {
  const reason = reasonIn(model.said.get(sheet));
  Object.assign(model, { busy: true, refusal: null });
  acts.redraw();
  const { ok, why } = await checkPassphrase(model.typed);
  model.busy = false;
  if (!ok) Object.assign(model, { typed: "", refusal: why });
  if (!ok || model.sheet !== sheet) return acts.redraw();
  await keepDecision(model, { ...decision, reason }, acts);
}
