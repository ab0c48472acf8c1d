/**
 * A check in theatre while it is being made: what was said, read and scanned, and what its records
 * will hold. Nothing of it is filled in beforehand.
 *
 * @import { Identity } from "../store/identity.js"
 * @import { Entry } from "../store/journal.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Seat } from "../ui/axis_dial.js"
 * @import { Eye } from "../ui/eyes.js"
 * @import { Casefile } from "./casefile.js"
 * @import { Typed } from "./question_fields.js"
 *
 * @typedef {"who" | "box" | "second" | "done"} Step
 * @typedef {object} Model
 * @property {string} id the person
 * @property {Eye} eye on the list
 * @property {PersonRow | null} person
 * @property {string | null} order that stood when the eye was opened
 * @property {Identity} identity the first person
 * @property {{ id: string, name: string, locked: string | null }[]} others who may be the second one
 * @property {Casefile | null} casefile
 * @property {Entry[]} elsewhere surgeries of other people with the serial number of the released box
 * @property {any} answer the core's, null until it came
 * @property {Step} step
 * @property {string[]} shown what is recorded of the person and was held beside their answer
 * @property {string[]} said by what of it the person was known
 * @property {Eye | null} marked
 * @property {string | null} second id of the second person
 * @property {Seat | null} seat
 * @property {string | null} code
 * @property {boolean} byReading the box is read by two people, since no code can be
 * @property {Typed} first
 * @property {Typed} again
 * @property {boolean} isFirstRead
 * @property {0 | 1 | null} same
 * @property {string} incision
 * @property {string | null} incisionProblem
 * @property {string[]} aside serial numbers or words of boxes that were put aside
 * @property {boolean} isScanning
 * @property {string} scanSaid
 * @property {string | null} codeProblem
 * @property {string | null} sheet the code of a printed sheet that was in view too
 * @property {string | null} rescanned when the box was scanned once more after the check
 * @property {boolean} seen the marks
 * @property {boolean} axisSaid
 * @property {string} passphrase
 * @property {string | null} passphraseProblem why it was not taken
 * @property {{ why: string, note: string } | null} ending
 * @property {string | null} trouble
 * @property {boolean} busy
 * @property {string | null} ended what became of it, once it was ended without implanting
 */
import { parseField } from "../records/kinds.js";
import { fieldOf } from "../ui/quantities.js";
import { today } from "../ui/moments.js";
import { written } from "./question_fields.js";

export const CHECKED = "theatre.checked";
export const CONFIRMED = "theatre.confirmed";
export const ASIDE = "box.put_aside";
const TRACED = ["lot", "serial", "expiry_date"];

/**
 * Return of a model what belongs to one box, before anybody looked at it.
 *
 * @returns {Pick<Model, "code" | "byReading" | "first" | "again" | "isFirstRead" | "same" | "codeProblem" | "scanSaid">}
 */
export const noBox = () => ({
  ...{ code: null, byReading: false, first: {}, again: {}, isFirstRead: false, same: null },
  ...{ codeProblem: null, scanSaid: "" },
});

/**
 * Return a check of which nothing was said yet.
 *
 * @param {Pick<Model, "id" | "eye" | "person" | "identity">} whose
 * @returns {Model}
 */
export const begun = (whose) => ({
  ...{ ...whose, others: [], elsewhere: [], casefile: null, answer: null, step: "who", said: [], shown: [] },
  ...{ marked: null, second: null, seat: null, ...noBox(), incision: "", incisionProblem: null, aside: [], sheet: null },
  ...{ isScanning: false, rescanned: null, seen: false, axisSaid: false, passphrase: "", passphraseProblem: null, ending: null },
  ...{ trouble: null, busy: false, ended: null, order: null },
});

/**
 * Return today by each clock that is known: a lens is judged by the latest, so that a device whose
 * clocks are set back makes no expired one good.
 *
 * @param {Entry[]} entries of the person; when the base received them, by its own clock
 * @param {{ lastHeard: string | null, skewMs: number | null }} heard when the base last answered, by
 *   this device's clock, and how far that is from its own
 */
export function daysOf(entries, { lastHeard, skewMs }) {
  const now = new Date();
  const atBase = lastHeard === null ? [] : [Date.parse(lastHeard) - (skewMs ?? 0)];
  const received = entries.flatMap(({ received_at: at }) => (at ? [Date.parse(at)] : []));
  const latest = Math.max(...[...atBase, ...received].filter(Number.isFinite), 0);
  return [dayOf(now), today(), ...(latest > 0 ? [dayOf(new Date(latest))] : [])];
}

/** @param {Date} moment */
const dayOf = (moment) => moment.toISOString().slice(0, 10);

/** What was typed never gets so far: the page takes no code but a reader's. @param {Model} model */
const codeOf = ({ code }) => ({ code, code_by: code === null ? null : "reader" });

/**
 * Return what the core is asked about the eye as far as it was looked at.
 *
 * @param {Model} model
 * @param {string[]} days today by each clock that is known
 */
export function questionOf(model, days) {
  return {
    do: "theatre",
    eye: model.eye,
    order: model.order,
    days,
    others: model.elsewhere,
    eye_said: model.marked,
    ...codeOf(model),
    trace: traceOf(model.isFirstRead ? model.first : {}),
    second_trace: traceOf(model.again),
    printed_same: model.same,
    incision_meridian_deg: model.incisionProblem ? null : incisionOf(model),
    sheet: model.sheet,
  };
}

/**
 * Return the body of a check.
 *
 * @param {Model} model
 * @param {"agrees" | "differs" | "not_implanted"} outcome
 * @param {{ why?: string | null, note?: string | null }} [words]
 */
export function checkBody(model, outcome, { why = null, note = null } = {}) {
  const { theatre } = model.answer;
  return {
    order: theatre.order,
    label: theatre.label,
    person_confirmed: [...model.said].sort(),
    eye: model.marked,
    ...codeOf(model),
    trace: traceOf(model.first),
    second_trace: traceOf(model.again),
    printed_same: model.same,
    incision_meridian_deg: model.incisionProblem ? null : incisionOf(model),
    device_day: today(),
    outcome,
    why,
    note: [note, asideWords(model)].filter(Boolean).join(" ") || null,
  };
}

/**
 * Return what the second person's record says.
 *
 * @param {any} lens as the core gives it
 * @param {string} check
 */
export function confirmationBody(lens, check) {
  return { check, marks: "seen", axis_said: lens.axis_deg === null ? null : 1 };
}

/**
 * Return the body of the record of a box that is put aside; the released one may still be used.
 *
 * @param {Model} model
 */
export function asideBody(model) {
  const { rows } = model.answer.box;
  const isAnother = rows.some((/** @type {any} */ { outcome, why }) => outcome === "differs" && why === "not_released");
  return {
    order: model.answer.theatre.order,
    code: model.code,
    trace: traceOf(model.first),
    second_trace: traceOf(model.again),
    why: isAnother ? "another" : "readings",
  };
}

/** A box that was put aside is on record with the one that was taken. @param {Model} model */
function asideWords({ aside }) {
  return aside.length > 0 ? `Scanned and put aside before: ${aside.join("; ")}.` : null;
}

/**
 * Return what one person read off the box, or null where one of the three is still missing.
 *
 * @param {Typed} typed
 */
export function traceOf(typed) {
  const read = TRACED.map((name) => [name, written(typed[name])]);
  return read.every(([, text]) => text !== null) ? Object.fromEntries(read) : null;
}

/** @param {Pick<Model, "incision">} model */
export function incisionOf({ incision }) {
  const text = written(incision);
  if (text === null) return null;
  return parseField("incision_meridian_deg", fieldOf(CHECKED, "incision_meridian_deg"), text);
}

/**
 * Return what is still missing before the box is looked at, in words; null where nothing is.
 *
 * @param {Model} model
 */
export function missingWho({ said, marked, second, seat }) {
  if (said.length < 2) return said.length === 0 ? "Two things about the person first" : "One more thing about the person";
  if (!marked) return "Say which eye is marked";
  if (!second) return "Choose the second person";
  return seat ? null : "Say where the surgeon sits";
}

/** What is still to be done once everything is said. */
const PASSPHRASE = "Type the passphrase";

/**
 * Return what the second person has not said yet; null where nothing is missing.
 *
 * @param {Model} model
 */
export function missingSecond({ answer, second, seat, seen, axisSaid, passphrase }) {
  // Until the calculation has read the first check, or where it counts no more, there is none to confirm.
  if (!answer.theatre?.check) return "The first check is not there yet";
  if (!second) return "Choose the second person";
  if (!seat) return "Say where the surgeon sits";
  if (!seen) return "Second person has not confirmed the marks";
  if (answer.lens.axis_deg !== null && !axisSaid) return "Say the axis aloud first";
  return passphrase ? null : PASSPHRASE;
}

/**
 * Say whether the passphrase is all that is missing: hands are full, so its field opens by itself.
 *
 * @param {Model} model
 */
export const passphraseIsNext = (model) => model.step === "second" && missingSecond(model) === PASSPHRASE;

/**
 * Say whether a box that differs may be put aside for another one: it is another box than the one
 * that was released, or two people read it differently. A released box that is in doubt is the end.
 *
 * @param {any} box the core's comparison
 */
export function isAnotherBox(box) {
  const wrong = box.rows.filter((/** @type {any} */ row) => row.outcome === "differs");
  return wrong.length > 0 && wrong.every((/** @type {any} */ row) => AGAIN.has(row.why));
}
const AGAIN = new Set(["not_released", "readings_differ", "other_eye"]);

/**
 * Return what a box that is put aside is remembered by.
 *
 * @param {any} box
 */
export function boxName(box) {
  const serial = box.rows.find((/** @type {any} */ row) => row.field === "serial");
  const read = [serial?.code, serial?.first, serial?.second].find(Boolean);
  return read ? `serial number ${read}` : "a box without a serial number";
}
