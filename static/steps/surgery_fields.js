/**
 * The questions about a surgery: each is answered by whoever records it, none beforehand.
 *
 * @import { Asking } from "./question_fields.js"
 */
import { html, nothing } from "lit-html";
import { choiceField } from "../ui/form.js";
import { problemOf } from "./form_keep.js";
import { choiceAsked, textAsked } from "./question_fields.js";
import { isToric, LENS_PARTS, saysOther } from "./surgery_body.js";

/**
 * @param {Asking} asking
 * @param {any} lens the lens that was ordered, or null
 */
export function surgeryFields(asking, lens) {
  const { typed } = asking;
  return html`${textAsked(asking, "operated", { type: "date" })}
    ${textAsked(asking, "operator", { maxChars: 120 })}
    ${lens ? labelAsked(asking) : nothing}
    ${saysOther(typed, lens) ? LENS_PARTS.map(([name, label]) => textAsked(asking, name, { label, maxChars: 60 })) : nothing}
    ${serialAsked(asking)}
    ${textAsked(asking, "incision_meridian_deg", { inputmode: "numeric", hint: "Leave it empty if it was not recorded" })}
    ${isToric(typed, lens)
      ? textAsked(asking, "final_axis_deg", { inputmode: "numeric", hint: "As it lay at the end; empty if not recorded" })
      : nothing}
    ${choiceAsked(asking, "event", [], "one")}
    ${typed["event"] && typed["event"] !== "none" ? textAsked(asking, "note", { maxChars: 500, isLong: true }) : nothing}`;
}

/** @param {Asking} asking */
function labelAsked({ typed, problems, type }) {
  return choiceField({
    id: "label",
    label: "What does the label say?",
    choices: [
      ["same", "Exactly this lens"],
      ["other", "Something else"],
    ],
    value: typed["label"] ?? null,
    error: problemOf(problems, "label"),
    onChoose: (value) => type("label", value),
  });
}

/** @param {Asking} asking */
function serialAsked(asking) {
  const { typed, problems, type } = asking;
  return html`${choiceField({
      id: "serial_known",
      label: "Serial number of the lens",
      choices: [
        ["yes", "On the label"],
        ["no", "Not recorded"],
      ],
      value: typed["serial_known"] ?? null,
      error: problemOf(problems, "serial_known"),
      onChoose: (value) => type("serial_known", value),
    })}
    ${typed["serial_known"] === "yes" ? textAsked(asking, "serial", { maxChars: 60, hint: "Letter by letter, as printed" }) : nothing}`;
}
