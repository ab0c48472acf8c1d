/**
 * The last look before an approval: the sentence, what it promises, what was seen, the passphrase.
 *
 * @import { Acts, Model } from "./case.js"
 */
import { html, nothing } from "lit-html";
import { checkPassphrase } from "../store/unlock.js";
import { eyeBand, eyeMark, eyeWord } from "../ui/eyes.js";
import { clock } from "../ui/moments.js";
import { micrometres, ofHundred } from "../ui/numbers.js";
import { identifiers } from "../ui/page.js";
import { powerText } from "../ui/power.js";
import { backupLine } from "./case_backup.js";
import { checkCode, distinct, reasonOf } from "./case_gate.js";
import { keepDecision } from "./case_keep.js";
import { planeWords } from "./case_lenses.js";
import { closeSheet } from "./case_open.js";
import { count } from "../ui/words.js";

export const OLD_PAGE =
  "A new version with another calculation is on this phone, so this was not approved. Start the new " +
  "version, look at the plan again, then approve.";

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
export function approveBody(model, fold, acts) {
  const { person, eye, plan } = model;
  return html`<p><span class="t-head">${person?.name}</span>
      <span class="t-small soft">${person ? identifiers(person) : nothing}</span></p>
    ${eyeBand({ eye })}
    <p class="sentence" tabindex="-1" autofocus>${plan.sentence}</p>
    <p class="t-small">${plan.assumptions.join(" ")}</p>
    <p class="t-small">${promise(plan)}</p>
    ${backupLine(model)}
    ${answeredFor(model)}
    <form class="stack" novalidate @submit=${(/** @type {SubmitEvent} */ event) => {
      event.preventDefault();
      void approve(model, fold, acts);
    }}>
      ${passphraseField(model, acts)}
      <p class="t-micro soft">Check code <code>${checkCode(model.digest)}</code>. It is printed on the order.
        The base can order only after this approval has arrived there.</p>
      <p class="t-micro soft">You decide; this supports you and replaces no one. The lens maker’s
        instructions and local rules come first.</p>
      <div class="btn-row">
        <button type="button" class="btn" @click=${() => closeSheet(model, acts)}>Go back</button>
        <button type="submit" class="btn main" aria-disabled=${model.busy || model.typed === ""}>
          ${eyeMark(eye)} ${model.busy ? "Checking" : model.typed === "" ? "Passphrase first" : `Approve ${eyeWord(eye).toLowerCase()}`}</button>
      </div>
    </form>`;
}

/**
 * Return what a plan's lens promises, in a sentence.
 *
 * @param {any} plan
 */
export function promise(plan) {
  const { predicted } = plan.shown;
  return html`Expected: <span class="strong nowrap">${powerText(predicted)}</span> ${planeWords(plan)}; vault
    <span class="strong nowrap">${micrometres(predicted.mean_um)} µm</span>, 95 in 100 between
    ${micrometres(predicted.low95_um)} and ${micrometres(predicted.high95_um)} µm. Of 100 such eyes ${ofHundred(predicted.p_in_e4)} in the window, ${ofHundred(predicted.p_low_e4)} too low,
    ${ofHundred(predicted.p_high_e4)} too high.`;
}

/**
 * Return how each finding was answered, as it is signed.
 *
 * @param {Model} model
 */
export function answeredFor(model) {
  const cautions = distinct(model.plan.findings, "caution");
  const stops = distinct(model.plan.findings, "stop");
  if (cautions.length + stops.length === 0) return html`<p class="t-small">No caution and no stop stands.</p>`;
  const words = [
    ...(cautions.length > 0 ? [`${count(cautions.length, "caution")} seen`] : []),
    ...(stops.length > 0 ? [`${count(stops.length, "stop")} with your reason`] : []),
  ];
  return html`<p class="t-small">${words.join(", ")}:</p>
    <ul class="t-small soft">
      ${cautions.map(({ code, title }) => html`<li>${title}, ${clock(model.acknowledged.get(code) ?? "")}</li>`)}
      ${stops.map(({ code, title }) => html`<li>${title}: “${reasonOf(model, code)}”</li>`)}
    </ul>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function passphraseField(model, { redraw }) {
  const type = (/** @type {any} */ event) => {
    model.typed = event.target.value;
    redraw();
  };
  return html`<div class="field">
    <label for="passphrase">Your passphrase, again</label>
    <input id="passphrase" type="password" autocomplete="off" .value=${model.typed} @input=${type}
      aria-invalid=${model.refusal ? "true" : nothing} aria-describedby="passphrase-error" />
    <p class="field-error" id="passphrase-error" role="alert">${model.refusal ?? ""}</p>
  </div>`;
}

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
async function approve(model, fold, acts) {
  if (model.busy || model.typed === "") return;
  // Bound before the passphrase is checked: what is signed is what stood here when it was typed.
  const body = approvalOf(model, fold);
  Object.assign(model, { busy: true, refusal: null });
  acts.redraw();
  const { ok, why } = await checkPassphrase(model.typed);
  model.busy = false;
  if (!ok) {
    Object.assign(model, { typed: "", refusal: why });
    return acts.redraw();
  }
  if (model.isOldPage) {
    Object.assign(model, { typed: "", refusal: OLD_PAGE });
    return acts.redraw();
  }
  // Newer readings came while the passphrase was checked and closed the sheet.
  if (model.sheet !== "approve" || body.digest !== model.digest) return acts.redraw();
  const sentence = "approved. The base can order once this has arrived there.";
  await keepDecision(model, { kind: "plan.approval", body, sentence }, acts);
}

/**
 * @param {Model} model
 * @param {any} fold
 */
function approvalOf(model, { request }) {
  const { plan, digest, backup } = model;
  const seen = distinct(plan.findings, "caution").map(({ code }) => ({ code, at: model.acknowledged.get(code) }));
  const overrides = distinct(plan.findings, "stop").map(({ code }) => ({ code, reason: reasonOf(model, code) }));
  return { request: request.id, shown: plan.shown, digest, acknowledged: seen, overrides, read_to_end: 1, ...(backup && { backup }) };
}
