/**
 * A person's records turned into what is known of both eyes, by the calculation core alone.
 *
 * @import { Entry } from "../store/journal.js"
 * @import { Eye } from "../ui/eyes.js"
 * @import { Finding, Level } from "../ui/findings.js"
 * @typedef {{ kind: string, text: string }} Need
 * @typedef {object} Casefile
 * @property {string} id the person
 * @property {Entry[]} entries
 * @property {any} reference
 * @property {any} fold
 *
 * @typedef {object} Aims
 * @property {{ sphere_cD: number, cylinder_cD: number, axis_deg: number | null } | null} target
 * @property {{ flattening_cD: number, meridian_deg: number } | null} surgical_change
 *
 * @typedef {object} EyeSummary
 * @property {string} state
 * @property {Need[]} missing
 * @property {Need[]} wanted
 * @property {{ level: Level, title: string, code: string } | null} worst
 * @property {string | null} question what the surgeon asks, while not answered
 * @property {string | null} sentAt when the eye was sent to the surgeon, by the sender's clock
 * @property {{ sphere_cD: number, cylinder_cD: number, axis_deg: number | null } | null} refraction
 * @property {string} mark changes whenever anything a surgeon would want to look at again does
 * @property {boolean} isAtBase the base has the decision, or the request that waits for one
 * @property {string | null} decidedAt when it was last decided, ordered or cancelled, by that clock
 * @property {string[]} checked records whose plan the base computes again
 * @property {{ records: string[], title: string, values: string[] }[]} silent urgent readings that
 *   neither the base nor anybody else knows of
 * @property {{ state: string, text: string, due: string | null } | null} visits after surgery
 * @property {{ day: string, place: string | null, ready: 0 | 1, text: string, confirmed: boolean } | null} theatre
 *   the list of theatre that the eye is on
 * @property {{ day: string, wall: string, serial: string | null } | null} operated the surgery of the
 *   lens in it
 * @property {{ author: string, wall: string, text: string, urgent: boolean } | null} asked who asked to weigh an
 *   exchange, since when and whether it can wait
 *
 * @typedef {{ basis: string, eyes: Record<Eye, EyeSummary>, rest: { back_on: string | null } | null }} Summary
 *   `basis` names its own form, the core, the day and the adopted records it was made with
 */
import { callCore, CoreFailed, coreStatus, onCoreStatus } from "../core/runtime.js";
import { BoxBroken } from "../store/box.js";
import { currentIdentity } from "../store/identity.js";
import { entriesOfPerson, onChange } from "../store/journal.js";
import { joiningsHere, registrationsOf } from "../store/joined.js";
import { peopleAt } from "../store/people.js";
import { referenceEntries } from "../store/reference.js";
import { isPutOff, putOff } from "../store/put_off_marks.js";
import { orBroken } from "../store/rows.js";
import { keepSummary, keepUnreadable } from "../store/summaries.js";
import { worstLevel } from "../ui/findings.js";
import { today } from "../ui/moments.js";
import { isOfDecisions } from "./case_contradictions.js";
import { restOf } from "./done_with.js";
import { askedIn, lensInEye } from "./lens_in_eye.js";
import { isUnasked } from "./people_needs.js";

const AT_BASE = "The records lie at the base only. Fetch them on the person's page.";
const HALF_AT_BASE = "The records of one of the two registrations lie at the base only. Send and fetch now.";

/** @type {Aims} */
export const NO_AIMS = { target: null, surgical_change: null };

/**
 * Fold a person's records and keep the short account that lists show.
 *
 * @param {string} id
 * @returns {Promise<Casefile>}
 * @throws {CoreFailed} the calculation cannot be used
 */
export async function openCasefile(id) {
  if (await isPutOff(id)) throw new CoreFailed(AT_BASE);
  if (await isHalfAtBase(id)) throw new CoreFailed(HALF_AT_BASE);
  const [entries, reference] = await Promise.all([entriesOfPerson(id), referenceNow()]);
  const core = coreStatus().sha256;
  const fold = await ask({ do: "fold", entries, reference, today: today(), core });
  const eyes = { R: summaryOfEye(fold.eyes.R), L: summaryOfEye(fold.eyes.L) };
  const summary = { basis: basisOf(reference), eyes, rest: restOf(fold.eyes) };
  await keepSummary(id, summary);
  for (const listener of listeners) listener(id, summary);
  return { id, entries, reference, fold };
}

/** Say whether a registration joined with this one was put off before. @param {string} id */
async function isHalfAtBase(id) {
  const joined = await registrationsOf(id);
  return (await putOff()).some(({ person }) => joined.includes(person));
}

/** @type {Set<(person: string, summary: Summary) => void>} */
const listeners = new Set();

/**
 * Call `listener` when a person's short account was made anew; return how to stop.
 *
 * @param {(person: string, summary: Summary) => void} listener
 * @returns {() => void}
 */
export function onSummary(listener) {
  listeners.add(listener);
  return () => void listeners.delete(listener);
}

/**
 * Plan one eye of a casefile, with the lens of `choice` or the recommended one, and what the
 * surgeon aims at: without aims for plano and an unchanged cornea.
 *
 * @param {Casefile} casefile
 * @param {Eye} eye
 * @param {object | null} [choice]
 * @param {Aims} [aims]
 * @param {"plan" | "exchange"} [question] for an eye before surgery, or for the lens in it
 * @returns {Promise<any>}
 * @throws {CoreFailed} the calculation cannot be used
 */
export function planOf({ entries, reference }, eye, choice = null, aims = NO_AIMS, question = "plan") {
  const core = coreStatus().sha256;
  return ask({ do: question, entries, reference, eye, today: today(), core, choice, ...aims });
}

/**
 * Ask the core another question about a person's records.
 *
 * @param {Casefile} casefile
 * @param {object} question
 * @returns {Promise<any>}
 * @throws {CoreFailed} the calculation cannot be used, or not with this question
 */
export function askAbout({ entries, reference }, question) {
  return ask({ entries, reference, today: today(), core: coreStatus().sha256, ...question });
}

/** @param {object} request */
async function ask(request) {
  const answer = await callCore(request);
  if (answer.error) throw new CoreFailed(answer.error.message);
  return answer;
}

async function referenceNow() {
  return ask({ do: "reference", entries: await referenceEntries() });
}

/** The form of a short account; one kept in an older form is made again. */
const FORM = "8";

/** @param {any} reference */
function basisOf({ catalogue, limits, vault_models, withdrawn_vault_models }) {
  const models = [...vault_models, ...withdrawn_vault_models].map((/** @type {{ id: string }} */ one) => one.id);
  return [FORM, coreStatus().sha256, today(), catalogue?.id, limits?.id, ...models].join(" ");
}

/**
 * @param {any} eye
 * @returns {EyeSummary}
 */
function summaryOfEye({ state, missing, wanted, findings, question, approval, request, ...fold }) {
  const level = worstLevel(findings);
  const gravest = findings.filter((/** @type {Finding} */ finding) => finding.level === level);
  // A question left out hides no stop that says something of the eye.
  const worst =
    findings.find(isOfDecisions) ??
    gravest.find((/** @type {Finding} */ finding) => !isUnasked(finding)) ??
    gravest[0];
  return {
    state,
    missing,
    wanted,
    worst: worst && level ? { level, title: worst.title, code: worst.code } : null,
    question: question && !question.answered ? question.text : null,
    sentAt: request?.wall ?? null,
    refraction: request?.shown.inputs.refraction ?? null,
    mark: caseMark({ state, request, question, ...fold }),
    isAtBase: (approval ?? (state === "queued" ? request : null))?.received !== null,
    decidedAt: lastOf([approval, fold.decline, fold.order]),
    checked: [request?.id, approval?.id].filter(Boolean),
    silent: fold.urgent
      .filter((/** @type {any} */ one) => one.silent)
      .map((/** @type {any} */ { records, title, values }) => ({ records, title, values })),
    visits: visitsIn(fold.surgeries),
    theatre: theatreIn(fold.theatre),
    operated: operatedIn(fold.surgeries),
    asked: askedIn(fold.exchange),
  };
}

/** The day of the list, for whom there is one. @param {any} theatre */
function theatreIn(theatre) {
  if (!theatre?.listed) return null;
  const { listed: { operate_on, place }, ready, text, confirmed } = theatre;
  return { day: operate_on, place, ready, text, confirmed: confirmed !== null };
}

/** Two surgeries that contradict each other are both done: the newest is said. @param {any[]} surgeries */
function operatedIn(surgeries) {
  const last = surgeries.filter(({ in_eye }) => in_eye).at(-1);
  return last ? { day: last.body.operated, wall: last.wall, serial: last.body.serial } : null;
}

/** Where two surgeries contradict each other, nothing can be said of visits. @param {any[]} surgeries */
function visitsIn(surgeries) {
  const only = lensInEye({ surgeries });
  if (!only) return null;
  const { state, text, due } = only.schedule;
  return { state, text, due };
}

/**
 * @param {({ wall: string } | null)[]} decisions
 * @returns {string | null}
 */
function lastOf(decisions) {
  return decisions.map((one) => one?.wall ?? "").sort().at(-1) || null;
}

/**
 * Return a text that changes with the eye's state, its records in use, and what was asked.
 *
 * @param {any} eye of a fold
 * @returns {string}
 */
export function caseMark({ state, request, question, evidence }) {
  return [state, request?.id, question?.id, question?.answered, ...evidence].join(" ");
}

/** Persons whose account is out of date, in the order they changed. @type {Set<string>} */
const due = new Set();
let isWorking = false;

/** Fold again, in the background, whoever changed and whose account has another basis than now. */
export function keepSummariesFresh() {
  onChange(({ persons, why }) => {
    void dueWithOthers(persons).then(() =>
      why === "identity" || why === "page" ? addOutdated() : work());
  });
  onCoreStatus(() => void addOutdated());
}

/** @param {string[]} persons whose records changed, under whichever registration */
async function dueWithOthers(persons) {
  const joinings = await joiningsHere();
  const joined = await Promise.all(persons.map((one) => orBroken(() => registrationsOf(one, joinings))));
  for (const person of [...persons, ...joined.flatMap((some) => some ?? [])]) due.add(person);
}

async function addOutdated() {
  if (coreStatus().state !== "ready") return;
  const basis = basisOf(await referenceNow());
  const identity = await currentIdentity();
  const sites = new Set(identity?.user.roles.map(({ site }) => site));
  const rows = (await Promise.all([...sites].map(peopleAt))).flat();
  for (const { id, atBase, summary } of rows) {
    if (!atBase && summary?.basis !== basis) due.add(id);
  }
  await work();
}

/** @param {string} person */
async function foldAgain(person) {
  due.delete(person);
  if (await isPutOff(person)) return;
  try {
    if (!(await isHalfAtBase(person))) await openCasefile(person);
  } catch (error) {
    if (error instanceof BoxBroken) return keepUnreadable(person);
    due.add(person);
    throw error;
  }
}

async function work() {
  if (isWorking || coreStatus().state !== "ready") return;
  isWorking = true;
  try {
    for (const person of due) await foldAgain(person);
  } catch (error) {
    // The pages say that the calculation is off; who is due stays due.
    if (!(error instanceof CoreFailed)) throw error;
  } finally {
    isWorking = false;
  }
}
