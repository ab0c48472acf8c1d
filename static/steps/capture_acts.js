/**
 * What can be done on a reading's page: press keys, answer, keep, correct, withdraw.
 *
 * @import { Model } from "./capture_model.js"
 */
import { dropDraft, keepDraft } from "../store/drafts.js";
import {
  needsSignFirst,
  notYet,
  pointWords,
  press,
  recorded,
  typedText,
  unusualWords,
} from "../ui/entry.js";
import { eyeWord } from "../ui/eyes.js";
import { today } from "../ui/moments.js";
import { fieldOf, isFollowUp } from "../ui/quantities.js";
import { lowerFirst, withUnit } from "../ui/words.js";
import { keepReading, keepUnread, withdraw } from "./capture_keep.js";
import {
  asked,
  draftKey,
  entryFor,
  isDay,
  MADE_NOW,
  noDraft,
  surgeryOf,
} from "./capture_model.js";
import { go } from "./frame.js";

const NO_ROOM = "That digit was not taken: all places are full. Erase first to change the value.";
const QUARTERS = "Only .00, .25, .50 or .75 can follow here.";
const ZERO_IS_180 = "Axis 0 and axis 180 are one direction; it is kept as 180.";

/** Long enough not to speak at every key, short enough to be an answer. */
const SPEAK_MS = 600;

/**
 * @typedef {ReturnType<typeof captureActs>} Acts
 *
 * @param {Model} model
 * @param {() => void} redraw
 */
export function captureActs(model, redraw) {
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let timer;
  const store = () => void keepDraft(draftKey(model.id, model.eye, model.kind), model.draft);
  const say = (/** @type {string} */ words, waitMs = SPEAK_MS) => {
    clearTimeout(timer);
    timer = setTimeout(() => {
      model.spoken = words;
      redraw();
    }, waitMs);
  };
  const changed = () => {
    store();
    redraw();
  };
  const finish = (/** @type {Promise<void>} */ work) => void work.then(redraw);

  return {
    /** @param {string} key */
    press(key) {
      if (isElsewhere(model)) return;
      const { part } = asked(model);
      if (part.type !== "number") return;
      const field = fieldOf(model.kind, part.field);
      const before = entryFor(model, part.field);
      const entry = press(field, before, key);
      model.hint = hintOf(field, before, key, entry);
      model.kept = null;
      model.draft.at = part.field;
      model.draft.entries[part.field] = entry;
      const isSign = key === "-" || key === "+";
      say(model.hint ?? spokenEntry(model, part.field), isSign ? 0 : SPEAK_MS);
      changed();
    },
    /** @param {string} value */
    choose(value) {
      const { part } = asked(model);
      model.draft.at = part.field;
      model.draft.choices[part.field] = value;
      model.hint = null;
      if (part.type === "choice" || value === MADE_NOW) step(model, 1);
      changed();
    },
    /** @param {string} field */
    goTo(field) {
      model.draft.at = field;
      model.hint = null;
      changed();
    },
    main() {
      if (model.asking || model.busy) return;
      if (model.mode === "readings") return again(model, changed);
      if (whyNot(model) !== null) return redraw();
      const { parts, index } = asked(model);
      if (index < parts.length - 1) {
        step(model, 1);
        return changed();
      }
      if (model.draft.replaces) return ask(model, "correct", model.draft.replaces, redraw);
      finish(keepReading(model, null));
      redraw();
    },
    /** Enter: an unusual value is said once before the same key keeps it. */
    enter() {
      const warning = isElsewhere(model) ? null : unusualNow(model);
      if (warning && model.warnedOf !== warning) {
        model.warnedOf = warning;
        say(`Unusual. ${warning} Read it again; Enter keeps it.`, 0);
        return redraw();
      }
      this.main();
    },
    again: () => again(model, changed),
    /** Forget what was left behind, also answers that no key erases. */
    throwAway() {
      model.draft = noDraft();
      model.hint = null;
      void dropDraft(draftKey(model.id, model.eye, model.kind));
      redraw();
    },
    back() {
      if (model.asking) {
        model.asking = null;
        return redraw();
      }
      go(`#/person/${model.id}`);
    },
    /** Look at what stands; a correction that was begun is given up, a new reading is not. */
    showReadings() {
      if (model.draft.replaces) {
        model.draft = noDraft();
        void dropDraft(draftKey(model.id, model.eye, model.kind));
      }
      model.mode = "readings";
      redraw();
    },
    /** @param {"cannot-read" | "withdraw"} what @param {string | null} [target] */
    ask: (what, target = null) => ask(model, what, target, redraw),
    /** @param {string} target */
    correct(target) {
      model.draft = { ...noDraft(), replaces: target };
      model.mode = "entry";
      model.kept = null;
      changed();
    },
    /** @param {string} reason */
    reason(reason) {
      if (model.asking) model.asking.reason = reason;
      redraw();
    },
    closeSheet() {
      model.asking = null;
      redraw();
    },
    answerSheet() {
      const { asking } = model;
      if (!asking || model.busy) return;
      if (asking.reason.trim() === "") {
        asking.error = "Say why in a few words; it stands beside the reading for good.";
        return redraw();
      }
      const reason = asking.reason.trim().normalize("NFC");
      if (asking.what === "correct") finish(keepReading(model, reason));
      else if (asking.what === "withdraw") finish(withdraw(model, asking.target ?? "", reason));
      else finish(keepUnread(model, reason));
      redraw();
    },
  };
}

/** @param {Model} model */
const isElsewhere = (model) => model.mode !== "entry" || model.asking !== null;

/**
 * @param {Model} model
 * @param {number} by
 */
function step(model, by) {
  const { parts, index } = asked(model);
  const next = parts[Math.min(parts.length - 1, index + by)];
  model.draft.at = next?.field ?? null;
  model.spoken = `Now ${lowerFirst(next?.label ?? "")}.`;
  model.hint = null;
}

/**
 * @param {Model} model
 * @param {() => void} changed
 */
function again(model, changed) {
  if (model.draft.replaces) model.draft = noDraft();
  model.mode = "entry";
  model.kept = null;
  model.hint = null;
  changed();
}

/**
 * @param {Model} model
 * @param {"cannot-read" | "withdraw" | "correct"} what
 * @param {string | null} target
 * @param {() => void} redraw
 */
function ask(model, what, target, redraw) {
  model.asking = { what, target, reason: "", error: null };
  redraw();
}

/**
 * Return why the question being asked cannot be kept yet, or null.
 *
 * @param {Model} model
 * @returns {string | null}
 */
export function whyNot(model) {
  const { part } = asked(model);
  if (isFollowUp(model.kind) && !surgeryOf(model)) {
    return model.eyeFold ? "No surgery is on record for this eye" : "Looking for the surgery";
  }
  if (part.type === "number") {
    return inOtherUnit(model, notYet(fieldOf(model.kind, part.field), entryFor(model, part.field)));
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
 * @param {any} field
 * @param {import("../ui/entry.js").Entry} before
 * @param {string} key
 * @param {import("../ui/entry.js").Entry} after
 */
function hintOf(field, before, key, after) {
  if (key === ".") return pointWords(field, before);
  if (needsSignFirst(field, before) && /[0-9.]/.test(key)) return "Choose minus or plus first.";
  if (/^[0-9]$/.test(key) && after === before) return before.quarter === "." ? QUARTERS : NO_ROOM;
  if (field.zero_means && Number(after.digits || "1") === 0) return ZERO_IS_180;
  return null;
}

/**
 * @param {Model} model
 * @param {string} name
 */
function spokenEntry(model, name) {
  const field = fieldOf(model.kind, name);
  const entry = entryFor(model, name);
  const text = typedText(field, entry);
  const sign = { "-": "minus ", "+": "plus ", "": "" }[entry.sign];
  const size = text ? text.replace(/^[-+]/, "") : entry.digits;
  return `${eyeWord(model.eye)}, ${field.label} ${sign}${text ? withUnit(size, field.unit) : size}`;
}
