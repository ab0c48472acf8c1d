/**
 * Writing a reading, its correction or its withdrawal, and saying back what the store holds.
 *
 * @import { Model } from "./capture_model.js"
 */
import { kindNamed } from "../records/kinds.js";
import { dropDraft } from "../store/drafts.js";
import { keepRecord, NotKept, recordOf } from "../store/journal.js";
import { typedText } from "../ui/entry.js";
import { eyeWord } from "../ui/eyes.js";
import { fieldOf, isFollowUp, partsOf, quantityLabel, slugOf } from "../ui/quantities.js";
import { readingSentence } from "../ui/readings.js";
import { go } from "./frame.js";
import { callsNow } from "./urgent_told.js";
import { nextOfVisit, noteKept } from "./visit_run.js";
import { bodyOfDraft, draftKey, foldEye, lookAgain, noDraft, rememberDevice, surgeryOf } from "./capture_model.js";

const NOT_JUDGED =
  " It was not judged: the calculation is off. If the value worries you, call the surgeon now.";

/**
 * Keep what was typed as a reading, or as the correction of one.
 *
 * @param {Model} model
 * @param {string | null} reason why an earlier reading is corrected
 */
export async function keepReading(model, reason) {
  const { kind, eye, draft } = model;
  let id = "";
  await attempt(model, async () => {
    const body = wholeBody(model);
    const asked = {
      ...{ kind, person: model.id, eye, site: model.person?.site },
      ...{ replaces: draft.replaces, reason, body },
    };
    const kept = await keepRecord(asked, { draft: draftKey(model.id, eye, kind) });
    if (body["device"]) rememberDevice(kind, body["device"]);
    // The sentence is made from what the store gives back, not from what was typed.
    const stored = await recordOf(kept.id);
    id = kept.id;
    return readingSentence(eye, kind, stored?.payload.body);
  });
  if (id && model.visit) goOn(model, id);
  else if (id && isFollowUp(kind)) await judgeNow(model, id);
}

/**
 * Go to the next quantity of the visit; what was kept is said back there, and judged.
 *
 * @param {Model} model
 * @param {string} id of the reading that was kept
 */
function goOn(model, id) {
  const { visit, eye, kind, kept, readings } = model;
  const body = readings.find((one) => one.id === id)?.payload.body;
  if (visit && kept && body) noteKept(visit, eye, kind, { kept: { ...kept, id }, body });
  go(afterThis(model));
}

/**
 * Return the address of what comes next in a visit.
 *
 * @param {Model} model
 */
export function afterThis(model) {
  const next = nextOfVisit(model.kind, surgeryOf(model));
  return `#/visit/${model.id}/${model.eye}/${next ? slugOf(next) : "done"}`;
}

/**
 * What was kept in a visit is judged as soon as the calculation has seen it.
 *
 * @param {Model} model
 */
export function judgeVisit({ visit, eye, id, eyeFold }) {
  if (!visit) return;
  const { kept, last } = visit.eyes[eye];
  if (!eyeFold && last && !last.sentence.endsWith(NOT_JUDGED)) last.sentence += NOT_JUDGED;
  if ([...kept.values()].some((one) => callsNow(eyeFold, one.id))) go(`#/urgent/${id}/${eye}`);
}

/**
 * What was read after surgery is judged at once: an urgent value takes the whole screen, and a
 * value that could not be judged says so.
 *
 * @param {Model} model
 * @param {string} id of the reading that was kept
 */
async function judgeNow(model, id) {
  await foldEye(model);
  if (model.eyeFold === null && model.kept) model.kept.sentence += NOT_JUDGED;
  if (callsNow(model.eyeFold, id)) go(`#/urgent/${model.id}/${model.eye}`);
}

/**
 * Keep that a quantity could not be read, and why.
 *
 * @param {Model} model
 * @param {string} why
 */
export async function keepUnread(model, why) {
  const body = { quantity: model.kind, why, taken: now(), typed: {} };
  await attempt(model, async () => {
    const kind = "reading.unread";
    await keepRecord({ kind, person: model.id, eye: model.eye, site: model.person?.site, body });
    return `${eyeWord(model.eye)}: ${quantityLabel(model.kind).toLowerCase()} could not be read: ${why}.`;
  });
}

/**
 * Take back one's own reading; it stays in the record, marked, with the reason.
 *
 * @param {Model} model
 * @param {string} target
 * @param {string} reason
 */
export async function withdraw(model, target, reason) {
  await attempt(model, async () => {
    const { id: person, eye, kind, readings } = model;
    const body = readings.find(({ id }) => id === target)?.payload.body ?? {};
    await keepRecord({
      kind: "record.void",
      person,
      eye,
      site: model.person?.site,
      reason,
      body: { target },
    });
    return `${readingSentence(eye, kind, body)} Withdrawn: ${reason}.`;
  });
}

/**
 * @param {Model} model
 * @param {() => Promise<string>} work returns the sentence of what was kept
 */
async function attempt(model, work) {
  model.busy = true;
  model.trouble = null;
  try {
    const sentence = await work();
    model.kept = { instant: now(), sentence };
    model.draft = noDraft();
    model.asking = null;
    model.mode = "readings";
    await dropDraft(draftKey(model.id, model.eye, model.kind));
    await lookAgain(model);
  } catch (error) {
    if (!(error instanceof NotKept)) throw error;
    model.asking = null;
    model.trouble = error.message;
  } finally {
    model.busy = false;
  }
}

/**
 * Return the record's body: every field of the kind, null where it was not asked.
 *
 * @param {Model} model
 * @returns {Record<string, any>}
 */
function wholeBody(model) {
  const { kind, draft } = model;
  const answers = bodyOfDraft(kind, draft);
  const asked = new Set(partsOf(kind, answers).map(({ field }) => field));
  const fields = Object.entries(kindNamed(kind).fields);
  const body = fields.map(([name, { type, choices }]) => {
    const isConstant = type === "choice" && choices?.length === 1;
    const answer = asked.has(name) || isConstant ? answers[name] : null;
    return [name, typeof answer === "string" ? answer.trim().normalize("NFC") : (answer ?? null)];
  });
  const implant = isFollowUp(kind) ? { implant: surgeryOf(model)?.id ?? null } : {};
  const typed = typedNumbers(kind, draft, asked);
  return { ...Object.fromEntries(body), ...implant, taken: now(), typed };
}

/**
 * @param {string} kind
 * @param {Model["draft"]} draft
 * @param {Set<string>} asked
 */
function typedNumbers(kind, { entries }, asked) {
  const texts = Object.entries(entries)
    .filter(([name]) => asked.has(name))
    .map(([name, entry]) => [name, typedText(fieldOf(kind, name), entry)]);
  return Object.fromEntries(texts);
}

const now = () => new Date().toISOString();
