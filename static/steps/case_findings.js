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
import { clock } from "../ui/moments.js";
import { distinct } from "./case_gate.js";

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function checkedFindings(model, acts) {
  const { findings } = model.plan;
  if (findings.length === 0) return html`<p class="t-small soft">No finding on this eye.</p>`;
  const first = new Set(["caution", "stop"].flatMap((level) => distinct(findings, level)));
  const under = (/** @type {Finding} */ finding) =>
    first.has(finding) ? control(model, finding, acts) : nothing;
  return findingList(findings, { under });
}

/**
 * @param {Model} model
 * @param {Finding} finding
 * @param {Acts} acts
 */
function control(model, finding, acts) {
  if (finding.level === "caution") return seenButton(model, finding, acts);
  if (finding.fixed) return html`<p class="t-small">Nobody can override this. Ask the camp to put it right.</p>`;
  return reasonField(model, finding, acts);
}

/**
 * @param {Model} model
 * @param {Finding} finding
 * @param {Acts} acts
 */
function seenButton({ acknowledged }, { code, title }, { redraw }) {
  const at = acknowledged.get(code);
  const toggle = () => {
    if (at) acknowledged.delete(code);
    else acknowledged.set(code, new Date().toISOString());
    redraw();
  };
  return html`<button type="button" class="btn small" aria-pressed=${at ? "true" : "false"} @click=${toggle}>
    ${at ? html`${icon("tick")} Seen ${clock(at)}` : "I have seen this"}
    <span class="visually-hidden">: ${title}</span></button>`;
}

/**
 * @param {Model} model
 * @param {Finding} finding
 * @param {Acts} acts
 */
function reasonField({ reasons }, { code }, { redraw }) {
  return textField({
    id: `reason-${code.replaceAll(".", "-")}`,
    label: "Your reason for going on in spite of this stop",
    hint: "It becomes part of the approval and is printed on the order.",
    value: reasons.get(code) ?? "",
    isLong: true,
    maxChars: 500,
    onInput: (text) => {
      reasons.set(code, text);
      redraw();
    },
  });
}
