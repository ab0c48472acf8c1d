/**
 * The lens that comes out of an eye: its serial number is read off its card and never filled in,
 * and where it is not the one on record, whoever records it says why.
 *
 * @import { Problem } from "./form_keep.js"
 * @import { Asking, Typed } from "./question_fields.js"
 */
import { html, nothing } from "lit-html";
import { serialKey } from "../records/numbers.js";
import { choiceField } from "../ui/form.js";
import { day, today } from "../ui/moments.js";
import { problemOf } from "./form_keep.js";
import { choiceAsked, problemAt, textAsked, written } from "./question_fields.js";

export const REMOVAL = "surgery.explanted";

/**
 * Say whether a serial number is the one on record; letter case and spaces make no other lens.
 *
 * @param {string | null} typed
 * @param {string | null} recorded
 */
const isOnRecord = (typed, recorded) => typed !== null && recorded !== null && serialKey(typed) === serialKey(recorded);

/** @param {Typed} typed */
const serialOut = (typed) => (typed["out_known"] === "yes" ? written(typed["out_serial"]) : null);

/**
 * Say whether a reason is asked for: the serial was not read, or is not that on record.
 *
 * @param {Typed} typed
 * @param {any} lens the surgery of the lens that comes out
 */
export function asksWhy(typed, lens) {
  if (typed["out_known"] === "no") return true;
  const serial = serialOut(typed);
  return serial !== null && !isOnRecord(serial, lens.body.serial);
}

/**
 * Ask for the serial of the lens that comes out; that on record is not shown, since it is compared.
 *
 * @param {Asking} asking
 * @param {any} lens the surgery of the lens that comes out
 * @param {unknown} scan where its code is scanned
 */
export function explantFields(asking, lens, scan) {
  const { typed, problems, type } = asking;
  return html`<p class="notice">What comes out: <span class="strong">${lens.text}</span>, in the eye since
      ${day(lens.body.operated)}.</p>
    ${choiceField({
      ...{ id: "out_known", label: "Serial number of the lens taken out", value: typed["out_known"] ?? null },
      choices: [["yes", "Read off its card or box"], ["no", "Not read"]],
      error: problemOf(problems, "out_known"),
      onChoose: (value) => type("out_known", value),
    })}
    ${typed["out_known"] === "yes" ? html`${scan}
      ${textAsked(asking, "out_serial", { label: "Serial number, taken out", maxChars: 60, hint: "Scanned, or letter by letter; it is compared with the record" })}` : nothing}
    ${asksWhy(typed, lens) ? textAsked(asking, "out_reason", { label: whyLabel(typed), maxChars: 500, isLong: true }) : nothing}`;
}

/** @param {Typed} typed */
const whyLabel = (typed) => (typed["out_known"] === "no" ? "Why it was not read" : "This is not the serial on record. If it is right, why?");

/**
 * Return what keeps the lens that comes out from being recorded.
 *
 * @param {Typed} typed
 * @param {any} lens
 * @returns {Problem[]}
 */
export function explantProblems(typed, lens) {
  const label = "Lens taken out";
  if (!typed["out_known"]) return [{ field: "out_known", label, message: "Say whether its serial was read." }];
  if (typed["out_known"] === "yes" && !written(typed["out_serial"])) {
    return [{ field: "out_serial", label, message: "Type its serial as printed." }];
  }
  if (!asksWhy(typed, lens) || written(typed["out_reason"])) return [];
  return [{ field: "out_reason", label, message: "Say why it is not the serial on record, or was not read." }];
}

/**
 * Return what a surgery says of the lens that its own took the place of.
 *
 * @param {Typed} typed
 * @param {any} lens
 */
export function explantBody(typed, lens) {
  const explanted_reason = asksWhy(typed, lens) ? written(typed["out_reason"]) : null;
  return { explants: lens.id, explanted_serial: serialOut(typed), explanted_reason };
}

/**
 * Ask about a lens that was taken out and nothing put in its place.
 *
 * @param {Asking} asking
 * @param {any} lens
 * @param {unknown} scan where its code is scanned
 */
export function removalFields(asking, lens, scan) {
  return html`${explantFields(asking, lens, scan)}
    ${textAsked(asking, "operated", { type: "date" })} ${textAsked(asking, "operator", { maxChars: 120 })}
    ${choiceAsked(asking, "why", [], "one")}
    ${textAsked(asking, "note", { maxChars: 500, isLong: true })}`;
}

/**
 * @param {Typed} typed
 * @param {any} lens
 * @returns {Problem[]}
 */
export function removalProblems(typed, lens) {
  const problems = explantProblems(typed, lens);
  const operated = typed["operated"] ?? "";
  if (!operated) problems.push(problemAt(REMOVAL, "operated", "Give the day."));
  else if (operated > today()) problems.push(problemAt(REMOVAL, "operated", "That day is still to come."));
  else if (operated < lens.body.operated) problems.push(problemAt(REMOVAL, "operated", "That is before the lens went in."));
  if (!written(typed["operator"])) problems.push(problemAt(REMOVAL, "operator", "Name who operated."));
  if (!typed["why"]) problems.push(problemAt(REMOVAL, "why", "Choose why it was taken out."));
  else if (typed["why"] === "other" && !written(typed["note"])) problems.push(problemAt(REMOVAL, "note", "Write why."));
  return problems;
}

/**
 * Return the record's body of a removal.
 *
 * @param {Typed} typed
 * @param {any} lens
 */
export function removalBody(typed, lens) {
  return {
    implant: lens.id,
    operated: typed["operated"],
    serial: serialOut(typed),
    serial_reason: asksWhy(typed, lens) ? written(typed["out_reason"]) : null,
    operator: written(typed["operator"]),
    why: typed["why"],
    note: written(typed["note"]),
  };
}
