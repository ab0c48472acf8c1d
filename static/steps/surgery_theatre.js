/**
 * A surgery and its check in theatre: the check of this lens is named, or it is written why there
 * was none. Serial number and day are typed from the label, and compared with the check here.
 *
 * @import { Entry } from "../store/journal.js"
 * @import { Problem } from "./form_keep.js"
 * @import { Asking, Typed } from "./question_fields.js"
 */
import { html, nothing } from "lit-html";
import { serialKey } from "../records/numbers.js";
import { choiceField } from "../ui/form.js";
import { day, moment } from "../ui/moments.js";
import { problemOf } from "./form_keep.js";
import { problemAt, textAsked, written } from "./question_fields.js";
import { SURGERY } from "./surgery_body.js";

const ASKED = "Was this lens checked in theatre?";
const OTHER_SERIAL =
  "The check in theatre was of another serial number. Read the label again; if it is right, this lens was not checked.";

/**
 * @typedef {object} Around what is known of theatre
 * @property {{ id: string, wall: string | null, day: string | null, serial: string | null } | null} check
 *   of the released box, confirmed by a second person
 * @property {boolean} isAsked a box was released, so a check was due
 */

/**
 * Return what is known of theatre for a surgery that is being recorded or amended.
 *
 * @param {any} fold of the eye
 * @param {any} amended the surgery that is corrected, or undefined
 * @param {Entry[]} entries
 * @returns {Around}
 */
export function aroundOf({ theatre }, amended, entries) {
  const named = amended?.body.theatre_check ?? (theatre?.confirmed ? theatre.check.id : null);
  const check = payloadOf(entries, named);
  const serial = check ? (payloadOf(entries, check.body.label)?.body.first.serial ?? null) : null;
  const isAsked = named !== null || Boolean(theatre?.label) || Boolean(amended?.body.unchecked_reason);
  return { isAsked, check: named && { id: named, wall: check?.wall ?? null, day: check?.body.device_day ?? null, serial } };
}

/**
 * @param {Entry[]} entries
 * @param {string | null} id
 */
const payloadOf = (entries, id) => entries.find((one) => one.id === id)?.payload ?? null;

/** @param {any} body of a surgery @returns {Typed} */
export function theatreTyped({ theatre_check, unchecked_reason }) {
  return { theatre: theatre_check ? "yes" : unchecked_reason ? "no" : "", unchecked_reason: unchecked_reason ?? "" };
}

/**
 * @param {Asking} asking
 * @param {Around} around
 */
export function theatreFields(asking, { check, isAsked }) {
  const { typed, problems, type } = asking;
  if (!isAsked) return nothing;
  const question = check && choiceField({
    ...{ id: "theatre", label: ASKED, columns: "one", value: typed["theatre"] || null, error: problemOf(problems, "theatre") },
    choices: [
      ["yes", `Yes, by two people${check.wall ? `, ${moment(check.wall)}` : ""}`],
      ["no", "No check of this lens"],
    ],
    onChoose: (value) => type("theatre", value),
  });
  const hint = check ? undefined : "A box was released for this eye, and no check by two people is on this device";
  return html`${question ?? nothing}${check && typed["theatre"] !== "no" ? nothing
    : textAsked(asking, "unchecked_reason", { maxChars: 500, isLong: true, hint })}`;
}

/**
 * @param {Typed} typed
 * @param {Around} around
 * @returns {Problem[]}
 */
export function theatreProblems(typed, { check, isAsked }) {
  if (!isAsked) return [];
  if (check && !typed["theatre"]) return [{ field: "theatre", label: ASKED, message: "Say which." }];
  if (!check || typed["theatre"] === "no") {
    return written(typed["unchecked_reason"]) ? [] : [problemAt(SURGERY, "unchecked_reason", "Write it in a few words.")];
  }
  return [...serialProblem(typed, check.serial), ...dayProblem(typed, check.day)];
}

/**
 * @param {Typed} typed
 * @param {string | null} serial
 */
function serialProblem(typed, serial) {
  const read = written(typed["serial"]);
  const isSame = typed["serial_known"] === "yes" && read !== null && serial !== null && serialKey(read) === serialKey(serial);
  if (isSame || serial === null) return [];
  const field = typed["serial_known"] === "yes" ? "serial" : "serial_known";
  return read === null && field === "serial" ? [] : [{ ...problemAt(SURGERY, "serial", OTHER_SERIAL), field }];
}

/**
 * @param {Typed} typed
 * @param {string | null} checked
 */
function dayProblem(typed, checked) {
  if (checked === null || !typed["operated"] || typed["operated"] === checked) return [];
  return [problemAt(SURGERY, "operated", `The check in theatre was made on ${day(checked)}.`)];
}

/**
 * Return the part of the record's body about theatre.
 *
 * @param {Typed} typed
 * @param {Around} around
 */
export function theatreBody(typed, { check, isAsked }) {
  const isNamed = isAsked && check !== null && typed["theatre"] === "yes";
  return {
    theatre_check: isNamed ? check.id : null,
    unchecked_reason: isAsked && !isNamed ? written(typed["unchecked_reason"]) : null,
  };
}
