/**
 * What is said of the value being typed: why it cannot be kept yet, what is unusual, what a key did.
 *
 * @import { Model } from "./capture_model.js"
 */
import {
  needsSignFirst,
  notYet,
  pointWords,
  recorded,
  typedText,
  unusualWords,
} from "../ui/entry.js";
import { eyeWord } from "../ui/eyes.js";
import { today } from "../ui/moments.js";
import { fieldOf, isFollowUp } from "../ui/quantities.js";
import { withUnit } from "../ui/words.js";
import { asked, bodyOfDraft, entryFor, isDay, MADE_NOW, surgeryOf } from "./capture_model.js";
import { besideOthers } from "./capture_pairs.js";

const NO_ROOM = "That digit was not taken: all places are full. Erase first to change the value.";
const QUARTERS = "Only .00, .25, .50 or .75 can follow here.";
const ZERO_IS_180 = "Axis 0 and axis 180 are one direction; it is kept as 180.";

/**
 * Return why the question being asked cannot be kept yet, or null.
 *
 * @param {Model} model
 * @returns {string | null}
 */
export function whyNot(model) {
  const { part, parts, index } = asked(model);
  if (isFollowUp(model.kind) && !surgeryOf(model)) {
    if (model.eyeFold) return "No surgery is on record for this eye";
    // Nobody waits for it before the reading is to be kept.
    if (index === parts.length - 1) return "Looking for the surgery";
  }
  if (part.type === "number") {
    const why = notYet(fieldOf(model.kind, part.field), entryFor(model, part.field));
    return inOtherUnit(model, why) ?? besideOthers(model.kind, bodyOfDraft(model.kind, model.draft), part.field);
  }
  if (part.type === "date") return dateWhyNot(part, model.draft.choices[part.field] ?? "");
  if (model.draft.choices[part.field]?.trim()) return null;
  return part.type === "device" ? "Name the device first" : "Choose one first";
}

/**
 * A value far out of range, where the device has a choice of units, may be right in the other one.
 *
 * @param {Model} model
 * @param {string | null} why
 */
function inOtherUnit({ draft: { choices } }, why) {
  const other = { D: "mm", mm: "D" }[choices["unit"] ?? ""];
  return why && other && why.includes(" goes from ") ? `${why}. In ${other}? Tap Unit above.` : why;
}

/**
 * @param {import("../ui/quantities.js").Part} part
 * @param {string} date
 */
function dateWhyNot({ optional }, date) {
  if (optional && date === MADE_NOW) return null;
  if (optional && date === "") return "Choose one first";
  if (!isDay(date)) return "Give the date first";
  if (date < "1900-01-01") return "Check the year";
  return date < today() ? null : "A day before today is needed";
}

/**
 * Return what is unusual about the value that would be kept now, or null.
 *
 * @param {Model} model
 * @returns {string | null}
 */
export function unusualNow(model) {
  const { part } = asked(model);
  if (part.type !== "number" || whyNot(model) !== null) return null;
  const field = fieldOf(model.kind, part.field);
  const value = recorded(field, entryFor(model, part.field));
  return value === null ? null : unusualWords(field, value);
}

/**
 * Return why a key press did not do what its label says, or null where it did.
 *
 * @param {any} field
 * @param {import("../ui/entry.js").Entry} before
 * @param {string} key
 * @param {import("../ui/entry.js").Entry} after
 */
export function hintOf(field, before, key, after) {
  if (key === ".") return pointWords(field, before);
  if (needsSignFirst(field, before) && /[0-9.]/.test(key)) return "Choose minus or plus first.";
  if (/^[0-9]$/.test(key) && after === before) return before.quarter === "." ? QUARTERS : NO_ROOM;
  if (field.zero_means && Number(after.digits || "1") === 0) return ZERO_IS_180;
  return null;
}

/**
 * Return what a screen reader says of an entry: the eye, the quantity and the value typed so far.
 *
 * @param {Model} model
 * @param {string} name of the field
 */
export function spokenEntry(model, name) {
  const field = fieldOf(model.kind, name);
  const entry = entryFor(model, name);
  const text = typedText(field, entry);
  const sign = { "-": "minus ", "+": "plus ", "": "" }[entry.sign];
  const size = text ? text.replace(/^[-+]/, "") : entry.digits;
  return `${eyeWord(model.eye)}, ${field.label} ${sign}${text ? withUnit(size, field.unit) : size}`;
}
