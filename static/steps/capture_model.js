/**
 * What a reading's page knows: the draft, the readings that stand, what the calculation says.
 *
 * @import { Identity } from "../store/identity.js"
 * @import { Entry as JournalEntry } from "../store/journal.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Entry } from "../ui/entry.js"
 * @import { Eye } from "../ui/eyes.js"
 * @import { Part } from "../ui/quantities.js"
 * @import { Visit } from "./visit_run.js"
 */
import { readDraft } from "../store/drafts.js";
import { entriesOfPerson } from "../store/journal.js";
import { personHere } from "../store/people.js";
import { EMPTY, recorded } from "../ui/entry.js";
import { liveReadings } from "../ui/live_readings.js";
import { constantsOf, fieldOf, isFollowUp, partsOf, slugOf } from "../ui/quantities.js";
import { lensInEye } from "./lens_in_eye.js";
import { openCasefile } from "./casefile.js";
import { saidBefore } from "./visit_run.js";

/**
 * @typedef {object} Draft what is typed and not kept
 * @property {Record<string, Entry>} entries by number field
 * @property {Record<string, string>} choices by choice and device field
 * @property {string | null} at the field being asked
 * @property {string | null} replaces the reading that is being corrected
 *
 * @typedef {object} Model
 * @property {Identity} identity
 * @property {PersonRow | null} person
 * @property {string} id
 * @property {Eye} eye
 * @property {string} kind
 * @property {Draft} draft
 * @property {"entry" | "readings"} mode
 * @property {JournalEntry[]} readings that stand, of this quantity and eye
 * @property {any} eyeFold what the calculation says of this eye, or null
 * @property {string[]} devices recently used for this quantity
 * @property {{ instant: string, sentence: string } | null} kept
 * @property {{ what: "cannot-read" | "withdraw" | "correct", target: string | null, reason: string, error: string | null } | null} asking
 * @property {string} spoken what the screen reader is told
 * @property {string | null} hint
 * @property {string | null} trouble
 * @property {string | null} warnedOf the unusual value that Enter has already warned of
 * @property {boolean} busy
 * @property {Visit | null} visit that this reading is one of
 */

/** A value left behind may belong to the other eye, or to another moment. */
export const LEFT_BEHIND = "Typed earlier and not kept. Check it against the device, or erase it.";

/** Answers about a day that is asked only of what was made earlier; the day itself follows. */
export const MADE_NOW = "now";
export const MADE_EARLIER = "earlier";

/** @returns {Draft} */
export const noDraft = () => ({ entries: {}, choices: {}, at: null, replaces: null });

/**
 * Say whether a draft of a reading holds anything that was typed or chosen.
 *
 * @param {any} draft as it was kept, or null
 * @returns {boolean}
 */
export function isBegun(draft) {
  const entries = /** @type {Entry[]} */ (Object.values(draft?.entries ?? {}));
  const isTyped = entries.some(({ sign, digits, quarter }) => Boolean(sign || digits || quarter));
  return isTyped || Object.values(draft?.choices ?? {}).some(Boolean);
}

/**
 * @param {string} id
 * @param {Eye} eye
 * @param {string} kind
 * @param {Identity} identity
 * @param {Visit | null} visit
 * @returns {Promise<Model>}
 */
export async function openModel(id, eye, kind, identity, visit) {
  const [person, draft] = await Promise.all([personHere(id), readDraft(draftKey(id, eye, kind))]);
  const eyeSummary = person?.summary?.eyes[eye];
  const model = {
    ...{ identity, person, id, eye, kind, visit, draft: draft ?? newDraft(kind, visit) },
    ...{ readings: [], devices: [], eyeFold: visit?.eyes[eye].fold ?? null },
    ...{ kept: null, asking: null, busy: false },
    ...{
      mode: /** @type {"entry"} */ ("entry"),
      spoken: "",
      hint: null,
      warnedOf: null,
      trouble: null,
    },
  };
  await lookAgain(model);
  const isWanted = eyeSummary?.wanted.some((/** @type {any} */ need) => need.kind === kind);
  const opensList = model.readings.length > 1 || (model.readings.length === 1 && !isWanted);
  const hint = isBegun(draft) ? LEFT_BEHIND : null;
  return { ...model, hint, mode: opensList && !draft && !visit ? "readings" : "entry" };
}

/**
 * Return an empty draft; in a visit with what was said before in it, and at the first question left.
 *
 * @param {string} kind
 * @param {Visit | null} visit
 * @returns {Draft}
 */
function newDraft(kind, visit) {
  if (!visit) return noDraft();
  const choices = saidBefore(visit, kind, partsOf(kind, constantsOf(kind)));
  const left = partsOf(kind, { ...constantsOf(kind), ...choices }).find(({ field }) => !(field in choices));
  return { ...noDraft(), choices, at: left?.field ?? null };
}

/**
 * Read the standing readings and the devices used before, from the store.
 *
 * @param {Model} model
 */
export async function lookAgain(model) {
  const entries = await entriesOfPerson(model.id);
  model.readings = ofThisLens(model, liveReadings(entries, model.kind, model.eye));
  const used = entries.filter(({ payload }) => payload.kind === model.kind && payload.body.device);
  const here = used.map(({ payload }) => payload.body.device);
  model.devices = [...new Set([...here.reverse(), ...recentDevices(model.kind)])].slice(0, 4);
}

/**
 * Return the surgery that a follow-up of this eye is read after; null where there is not just one.
 *
 * @param {Model} model
 * @returns {any}
 */
export const surgeryOf = ({ eyeFold }) => (eyeFold ? lensInEye(eyeFold) : null);

/**
 * Of readings after surgery only those of the lens that is in the eye now stand here.
 *
 * @param {Model} model
 * @param {JournalEntry[]} readings
 */
function ofThisLens(model, readings) {
  const surgery = surgeryOf(model);
  if (!isFollowUp(model.kind) || !surgery) return readings;
  return readings.filter(({ payload }) => surgery.names.includes(payload.body.implant));
}

/**
 * Ask the calculation what it says of this eye; without it the reading can be taken all the same.
 *
 * @param {Model} model
 */
export async function foldEye(model) {
  try {
    const { fold: answer } = await openCasefile(model.id);
    model.eyeFold = answer.eyes[model.eye];
    if (model.visit) model.visit.eyes[model.eye].fold = model.eyeFold;
    model.readings = ofThisLens(model, model.readings);
  } catch {
    // The strip of the person's page says that the calculation is off; taking readings goes on.
    model.eyeFold = null;
  }
}

/**
 * Return the devices this phone last used for a quantity, the newest first.
 *
 * @param {string} kind
 * @returns {string[]}
 */
function recentDevices(kind) {
  const kept = localStorage.getItem(`lampside.devices.${slugOf(kind)}`);
  return kept ? JSON.parse(kept) : [];
}

/**
 * Remember a device as the newest for a quantity; offered later, never filled in.
 *
 * @param {string} kind
 * @param {string} device
 */
export function rememberDevice(kind, device) {
  const names = [...new Set([device, ...recentDevices(kind)])].slice(0, 4);
  localStorage.setItem(`lampside.devices.${slugOf(kind)}`, JSON.stringify(names));
}

/**
 * @param {string} id
 * @param {Eye} eye
 * @param {string} kind
 */
export const draftKey = (id, eye, kind) => `capture/${id}/${eye}/${kind}`;

/**
 * Return the recorded answers of a draft; a number that is not complete is left out.
 *
 * @param {string} kind
 * @param {Draft} draft
 * @returns {Record<string, any>}
 */
export function bodyOfDraft(kind, { entries, choices }) {
  const numbers = Object.entries(entries).flatMap(([name, entry]) => {
    const value = recorded(fieldOf(kind, name), entry);
    return value === null ? [] : [[name, value]];
  });
  const isAnswer = (/** @type {[string, string]} */ [name, value]) =>
    fieldOf(kind, name).type !== "date" || isDay(value);
  const chosen = Object.entries(choices).filter(isAnswer);
  return { ...constantsOf(kind), ...Object.fromEntries([...chosen, ...numbers]) };
}

/** @param {string} text */
export const isDay = (text) => /^[0-9]{4}-[0-9]{2}-[0-9]{2}$/.test(text);

/**
 * Return the questions now, and which of them is being asked.
 *
 * @param {Model} model
 * @returns {{ parts: Part[], index: number, part: Part }}
 */
export function asked({ kind, draft }) {
  const parts = partsOf(kind, bodyOfDraft(kind, draft));
  const index = Math.max(
    0,
    parts.findIndex(({ field }) => field === draft.at),
  );
  return { parts, index, part: /** @type {Part} */ (parts[index]) };
}

/**
 * Return what has been typed for a number field.
 *
 * @param {Model} model
 * @param {string} field
 * @returns {Entry}
 */
export const entryFor = ({ draft }, field) => draft.entries[field] ?? EMPTY;
