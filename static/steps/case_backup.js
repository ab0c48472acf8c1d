/**
 * The back-up lens: one of those that this plan offers beside the chosen one, or none.
 *
 * @import { Acts, Lens, Model } from "./case.js"
 */
import { html, nothing } from "lit-html";
import { choiceField } from "../ui/form.js";
import { powerText } from "../ui/power.js";
import { isSame, lensInView } from "./case_lenses.js";

/**
 * Return the back-up that was named, if this plan offers it.
 *
 * @param {Pick<Model, "plan" | "backup">} model
 * @returns {Lens | null}
 */
export function offeredBackup({ plan, backup }) {
  return plan.backups.find((/** @type {Lens} */ one) => backup && isSame(one, backup)) ?? null;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function backupField(model, { redraw }) {
  const { plan, backup } = model;
  const lens = lensInView(model);
  if (!lens || plan.backups.length === 0) return nothing;
  const field = choiceField({
    ...{ id: "backup", label: "Back-up lens", columns: "one", value: String(plan.backups.indexOf(backup)) },
    hint: "Ordered beside it, implanted only if a surgeon releases it instead.",
    choices: [["-1", "None"], ...plan.backups.map((/** @type {Lens} */ one, /** @type {number} */ at) =>
      [String(at), isSame(one, lens) ? "The same lens once more" : backupText(one)])],
    onChoose: (at) => {
      model.backup = plan.backups[at] ?? null;
      redraw();
    },
  });
  return html`<div class="gap-top">${field}</div>`;
}

/** @param {Lens} lens */
const backupText = (lens) => `${powerText(lens)}, ${lens.model}`;

/**
 * Return the back-up of an approval or of what is to be approved, in a line; nothing without one.
 *
 * @param {{ backup?: Lens | null }} named
 */
export function backupLine({ backup }) {
  return backup ? html`<p class="t-small">Back-up lens: <span class="strong">${backupText(backup)}</span></p>` : nothing;
}
