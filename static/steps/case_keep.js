/**
 * Keeping one decision of the surgeon, and saying on the page what was kept or why not.
 *
 * @import { Acts, Model } from "./case.js"
 */
import { keepRecord, NotKept, recordOf } from "../store/journal.js";
import { eyeWord } from "../ui/eyes.js";
import { forgetTyped } from "./case_typed.js";

/**
 * @param {Model} model
 * @param {{ kind: string, body: object, sentence: string, replaces?: string | null, reason?: string | null }} decision
 * @param {Acts} acts
 * @returns {Promise<void>}
 */
export async function keepDecision(model, { kind, body, sentence, ...rest }, acts) {
  if (model.busy) return;
  Object.assign(model, { busy: true, refusal: null });
  acts.redraw();
  try {
    const { id: person, eye } = model;
    const { id } = await keepRecord({ kind, person, eye, site: model.person?.site, body, ...rest });
    const stored = await recordOf(id);
    model.kept = { instant: stored?.payload.wall, sentence: `${eyeWord(stored?.payload.eye)}: ${sentence}` };
    Object.assign(model, { sheet: null, typed: "" });
    await forgetTyped(model);
  } catch (error) {
    if (!(error instanceof NotKept)) throw error;
    model.refusal = error.message;
  } finally {
    model.busy = false;
  }
  await acts.refresh();
}
