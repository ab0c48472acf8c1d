/**
 * What can be done on a reading's page: press keys, answer, keep, correct, withdraw.
 *
 * @import { Model } from "./capture_model.js"
 */
import { dropDraft, keepDraft } from "../store/drafts.js";
import { EMPTY, press } from "../ui/entry.js";
import { fieldOf, isFollowUp } from "../ui/quantities.js";
import { lowerFirst } from "../ui/words.js";
import { afterThis, keepReading, keepUnread, withdraw } from "./capture_keep.js";
import { asked, draftKey, entryFor, MADE_NOW, noDraft } from "./capture_model.js";
import { hintOf, spokenEntry, unusualNow, whyNot } from "./capture_words.js";
import { go } from "./frame.js";

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
      // It spoke of the value before this key.
      model.trouble = null;
      model.kept = null;
      model.draft.at = part.field;
      model.draft.entries[part.field] = entry;
      const isSign = key === "-" || key === "+";
      say(model.hint ?? spokenEntry(model, part.field), isSign ? 0 : SPEAK_MS);
      if (endsNumber(model, key)) step(model, 1);
      changed();
    },
    /** A value with a key of its own. @param {string} digits */
    type(digits) {
      const { part } = asked(model);
      model.draft.entries[part.field] = EMPTY;
      for (const digit of digits) this.press(digit);
    },
    /** @param {string} value */
    choose(value) {
      const { part } = asked(model);
      model.draft.at = part.field;
      model.draft.choices[part.field] = value;
      model.hint = null;
      model.trouble = null;
      if (part.type === "choice" || value === MADE_NOW) step(model, 1);
      changed();
    },
    /** A device that was used before is named by one tap. @param {string} device */
    take(device) {
      const { parts, index } = asked(model);
      this.choose(device);
      if (index < parts.length - 1) step(model, 1);
      redraw();
    },
    /** A choice that closes a reading, or stands beside the number before it: it keeps, or goes on. @param {string} value */
    answer(value) {
      const { part } = asked(model);
      if (model.asking || model.busy || (part.type === "number" && whyNot(model) !== null)) return redraw();
      if (part.type === "number") step(model, 1);
      const choice = asked(model).part;
      model.draft.at = choice.field;
      model.draft.choices[choice.field] = value;
      store();
      this.main();
    },
    /** In a visit: what cannot be read today is left out. */
    leaveOut: () => go(afterThis(model)),
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
 * After surgery a quarter that was tapped ends its number, unless that is unusual or the last one.
 * A point on a keyboard ends nothing: another digit follows it.
 *
 * @param {Model} model
 * @param {string} key
 */
function endsNumber(model, key) {
  const { parts, index } = asked(model);
  const isTapped = /^[.][0-9]{2}$/.test(key);
  if (!isTapped || !isFollowUp(model.kind) || index === parts.length - 1) return false;
  return whyNot(model) === null && unusualNow(model) === null;
}

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
