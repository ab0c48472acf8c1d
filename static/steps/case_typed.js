/**
 * What a surgeon typed and has not kept: it outlives a closed sheet, a left page and a dead phone.
 *
 * @import { Model } from "./case.js"
 */
import { dropDraft, keepDraft, readDraft } from "../store/drafts.js";

/** @param {Pick<Model, "identity" | "id" | "eye" | "typedUnder">} model */
const keyOf = ({ identity, id, eye, typedUnder = "case" }) => `${typedUnder}/${identity.user.id}/${id}/${eye}`;

/**
 * Put back what was typed before; a passphrase is never among it.
 *
 * @param {Model} model
 */
export async function recallTyped(model) {
  const draft = await readDraft(keyOf(model));
  if (!draft) return;
  model.reasons = new Map(draft.reasons);
  model.said = new Map(draft.said);
}

/**
 * Keep the reasons, and the words of a question or refusal, as they stand now.
 *
 * @param {Model} model
 */
export async function keepTyped(model) {
  const [reasons, said] = [model.reasons, model.said].map((texts) =>
    [...texts].filter(([, text]) => text.trim() !== ""),
  );
  if (!reasons?.length && !said?.length) return dropDraft(keyOf(model));
  await keepDraft(keyOf(model), { reasons, said });
}

/**
 * Forget it all: a decision was made.
 *
 * @param {Model} model
 */
export async function forgetTyped(model) {
  if (model.reasons.size + model.said.size === 0) return;
  model.reasons.clear();
  model.said.clear();
  await dropDraft(keyOf(model));
}
