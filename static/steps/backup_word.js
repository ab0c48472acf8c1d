/**
 * What a surgeon says of two lenses of one eye, and what is still missing before it can be signed.
 *
 * @import { Model } from "./backup.js"
 */
import { reasonIn } from "./case_gate.js";

/**
 * Return what the surgeon signs: the back-up instead of the chosen lens, or the own word taken back.
 *
 * @param {Pick<Model, "fold" | "check">} model
 * @returns {{ kind: string, body: object }}
 */
export function wordOf({ fold, check }) {
  const { chosen, order, released } = fold.backup;
  if (released) return { kind: "plan.withdrawal", body: { target: released.id } };
  return { kind: "backup.released", body: { order: order.id, instead_of: chosen.id, check } };
}

/**
 * Return what is still missing before it can be signed, as the button says it; null where nothing is.
 *
 * @param {Pick<Model, "fold" | "check" | "reason" | "passphrase">} model
 */
export function missingIn({ fold, check, reason, passphrase }) {
  if (!fold.backup.released && check === null) return "Choose the check first";
  if (reasonIn(reason) === null) return "Say why first";
  return passphrase ? null : "Passphrase first";
}
