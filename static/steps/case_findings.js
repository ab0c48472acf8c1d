/**
 * The findings a surgeon must answer for: each caution seen by name, each stop with a reason.
 *
 * @import { Acts, Model } from "./case.js"
 * @import { Finding } from "../ui/findings.js"
 */
import { html, nothing } from "lit-html";
import { findingList } from "../ui/findings.js";
import { textField } from "../ui/form.js";
import { icon } from "../ui/icons.js";
import { clock, moment } from "../ui/moments.js";
import { distinct, isDecidable, placeOf } from "./case_gate.js";
import { keepTyped } from "./case_typed.js";

/**
 * Findings ask for an answer only while the eye waits for a decision; after it, the decision says
 * how each was answered.
 *
 * @param {Model} model
 * @param {any} fold
 * @param {Pick<Acts, "redraw">} acts
 * @param {boolean} [isAsked] whether each finding asks for an answer
 */
export function checkedFindings(model, fold, acts, isAsked = isDecidable(fold)) {
  const { findings } = model.plan;
  if (findings.length === 0) return html`<p class="t-small soft">No finding on this eye.</p>`;
  const first = new Set(["caution", "stop"].flatMap((level) => distinct(findings, level)));
  const below = (/** @type {Finding} */ finding) =>
    isAsked ? control(model, finding, acts) : answerIn(fold.approval, finding);
  const under = (/** @type {Finding} */ finding) => (first.has(finding) ? below(finding) : nothing);
  return findingList(findings, { under });
}

/**
 * How the approval that stands answered for a finding.
 *
 * @param {any} approval
 * @param {Finding} finding
 */
function answerIn(approval, { code }) {
  if (!approval?.live) return nothing;
  const same = (/** @type {any} */ one) => one.code === code;
  const reason = approval.overrides.find(same)?.reason;
  const at = approval.acknowledged.find(same)?.at;
  if (reason) return html`<p class="t-small">The reason in the approval: “${reason}”</p>`;
  return at ? html`<p class="t-small">Seen by the surgeon, ${moment(at)}.</p>` : nothing;
}

/**
 * @param {Model} model
 * @param {Finding} finding
 * @param {Pick<Acts, "redraw">} acts
 */
function control(model, finding, acts) {
  if (finding.level === "caution") return seenButton(model, finding, acts);
  if (finding.fixed) {
    return html`<p class="t-small" id=${placeOf(finding)} tabindex="-1">Nobody can override this. Ask the camp to put it right.</p>`;
  }
  return reasonField(model, finding, acts);
}

/**
 * @param {Model} model
 * @param {Finding} finding
 * @param {Pick<Acts, "redraw">} acts
 */
function seenButton({ acknowledged }, { code, title }, { redraw }) {
  const at = acknowledged.get(code);
  const toggle = () => {
    if (at) acknowledged.delete(code);
    else acknowledged.set(code, new Date().toISOString());
    redraw();
  };
  return html`<button type="button" class="btn small" id=${placeOf({ code })} aria-pressed=${at ? "true" : "false"} @click=${toggle}>
    ${at ? html`${icon("tick")} Seen ${clock(at)}` : "I have seen this"}
    <span class="visually-hidden">: ${title}</span></button>`;
}

/**
 * @param {Model} model
 * @param {Finding} finding
 * @param {Pick<Acts, "redraw">} acts
 */
function reasonField(model, { code }, { redraw }) {
  const { reasons } = model;
  return textField({
    id: placeOf({ code }),
    label: "Your reason for going on in spite of this stop",
    hint: "At least ten characters. It becomes part of the approval and is printed on the order.",
    value: reasons.get(code) ?? "",
    isLong: true,
    maxChars: 500,
    onInput: (text) => {
      reasons.set(code, text);
      void keepTyped(model);
      redraw();
    },
  });
}
