/**
 * The sheets of the surgeon's page: approve, ask, decline, take back, another lens, the aim.
 *
 * @import { Acts, Model } from "./case.js"
 */
import { html, nothing } from "lit-html";
import { eyeBand, eyeWord } from "../ui/eyes.js";
import { sheet } from "../ui/sheet.js";
import { aimBody } from "./case_aim.js";
import { approveBody } from "./case_approve.js";
import { lateBody } from "./case_late.js";
import { closeSheet } from "./case_open.js";
import { otherBody } from "./case_other.js";
import { sayBody } from "./case_say.js";
import { settleBody } from "./case_settle.js";

const LABELS = {
  approve: "Approve",
  ask: "Ask the camp",
  decline: "Decline",
  withdraw: "Take a decision back",
  settle: "Settle the contradiction",
  late: "Answer after the order",
  other: "Another available lens",
  aim: "What to aim at",
};

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
export function sheetOf(model, fold, acts) {
  if (!model.sheet) return nothing;
  const label = `${LABELS[model.sheet]}, ${eyeWord(model.eye).toLowerCase()}`;
  return sheet({ label, body: body(model, fold, acts), onClose: () => closeSheet(model, acts) });
}

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
function body(model, fold, acts) {
  // The last look has its own band below the person's name; every other sheet opens with the eye.
  if (model.sheet === "approve") return approveBody(model, fold, acts);
  return html`${eyeBand({ eye: model.eye })} ${otherBodies(model, fold, acts)}`;
}

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
function otherBodies(model, fold, acts) {
  if (model.sheet === "aim") return aimBody(model, acts);
  if (model.sheet === "other") return otherBody(model, acts);
  if (model.sheet === "settle") return settleBody(model, fold, acts);
  if (model.sheet === "late") return lateBody(model, fold, acts);
  return sayBody(model, fold, acts);
}
