/**
 * One eye as the surgeon decides on it: readings, findings, lengths, lenses, and one decision.
 *
 * What is signed is the plan object that the page was drawn from; when anything newer arrives the
 * plan is made again and an open sheet closes, so that nobody signs what was not shown.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Aims, Casefile } from "./casefile.js"
 * @import { AimDraft } from "./case_aim.js"
 * @import { Draft } from "./case_other.js"
 * @import { Seen } from "./case_since.js"
 * @import { Check } from "../sync/status.js"
 * @import { Eye } from "../ui/eyes.js"
 */
import { digestOf } from "../records/envelope.js";
import { namesOfUsers } from "../store/keys.js";
import { onChange } from "../store/journal.js";
import { personHere } from "../store/people.js";
import { markSeen, seenOf } from "../store/seen.js";
import { checkOf, onSyncStatus, syncStatus } from "../sync/client.js";
import { eyeOf } from "../ui/eyes.js";
import { ORDERED } from "../ui/states.js";
import { onUpdate, updateStatus } from "../update.js";
import { offeredBackup } from "./case_backup.js";
import { isOld } from "./case_gate.js";
import { SIGNED } from "./case_open.js";
import { caseMark, NO_AIMS, openCasefile, planOf } from "./casefile.js";
import { forgetTyped, recallTyped } from "./case_typed.js";
import { seenNow } from "./case_since.js";
import { caseView } from "./case_view.js";
import { coreSha256, openPage, together } from "./frame.js";
import { caseKey } from "./queue_rows.js";

/** Nothing more is decided on these; words typed for a decision are about nothing now. */
const CLOSED = new Set([...ORDERED, "implanted", "followed", "declined", "cancelled"]);

/**
 * @typedef {object} Lens
 * @property {string} model
 * @property {number} sphere_cD
 * @property {number} cylinder_cD
 * @property {number | null} axis_deg
 * @property {number} length_um
 *
 * @typedef {object} Model
 * @property {Identity} identity
 * @property {string} id
 * @property {Eye} eye
 * @property {PersonRow | null} person
 * @property {Map<string, string>} names what each person is called, by user id
 * @property {Casefile | null} casefile
 * @property {any} plan
 * @property {string} digest of what the plan shows
 * @property {Lens | null} choice null until the surgeon takes another than the recommended lens
 * @property {Lens | null} backup the lens named as the back-up, null for none
 * @property {Aims} aims what the surgeon aims at; nothing until it is chosen
 * @property {AimDraft | null} aiming the aim being put together
 * @property {Map<string, string>} acknowledged code of a caution -> instant
 * @property {Map<string, string>} reasons code of a stop -> the reason for going on, as typed
 * @property {boolean} isRead the page's end was reached
 * @property {"approve" | "ask" | "decline" | "withdraw" | "settle" | "late" | "other" | "aim" | null} sheet
 * @property {string | null} chosen the choice of a sheet that offers some
 * @property {string} typed text or passphrase in the sheet
 * @property {Map<string, string>} said words of a question or refusal that was not kept yet, by sheet
 * @property {Seen | null} before what was seen of the eye when the page was opened
 * @property {{ request: Check | null, approval: Check | null, hasApproval: boolean }} checks the base's own calculation
 * @property {Draft | null} other the lens being put together by hand
 * @property {string | null} trouble
 * @property {string | null} notice something changed while the page was open
 * @property {string | null} refusal why the sheet's button did nothing
 * @property {{ instant: string, sentence: string } | null} kept
 * @property {boolean} busy
 * @property {string} [typedUnder] which page's typed words these are, where not the surgeon's own
 * @property {boolean} isOldPage a newer version with another calculation waits on this phone
 *
 * @typedef {object} Acts what the page can do
 * @property {() => void} redraw
 * @property {(choice: Lens) => Promise<void>} choose
 * @property {(aims: Aims) => Promise<void>} aim
 * @property {() => Promise<void>} refresh
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params: [id = "", eyeParam], identity }) {
  const eye = eyeOf(eyeParam);
  const model = newModel(identity, id, eye);
  [model.person, model.before] = await Promise.all([personHere(id), seenOf(seenKey(model))]);
  await recallTyped(model);
  const redraw = () => page.redraw();
  const refresh = async () => {
    await calculate(model);
    redraw();
  };
  /** @param {Lens} choice */
  const choose = async (choice) => {
    Object.assign(model, { choice, backup: null });
    await refresh();
  };
  // Another aim wants another lens: the one taken for the old aim is not carried over.
  const aim = async (/** @type {Aims} */ aims) => {
    Object.assign(model, { aims, choice: null, backup: null });
    await refresh();
  };
  // Before the page listens, so that it is drawn with the newest checks.
  const stopStatus = onSyncStatus(() => lookAtChecks(model));
  const stopUpdate = onUpdate(() => lookAtChecks(model));
  const page = openPage(root, () => caseView(model, { redraw, choose, aim, refresh }));
  const stopStore = onChange(({ persons, why }) => {
    if (persons.includes(id) || why === "page") void refresh();
  });
  void refresh();
  return together([page.stop, stopStore, stopStatus, stopUpdate]);
}

/**
 * Return what a page of the surgeon knows before anything is read.
 *
 * @param {Identity} identity
 * @param {string} id
 * @param {Eye} eye
 * @returns {Model}
 */
export function newModel(identity, id, eye) {
  return {
    ...{ identity, id, eye, person: null, names: new Map(), casefile: null, plan: null, digest: "" },
    ...{ aims: NO_AIMS, aiming: null, backup: null },
    ...{ choice: null, acknowledged: new Map(), reasons: new Map(), isRead: false, sheet: null },
    ...{ said: new Map(), before: null, checks: { request: null, approval: null, hasApproval: false } },
    ...{ chosen: null, typed: "", other: null, trouble: null, notice: null, refusal: null, kept: null, busy: false, isOldPage: false },
  };
}

/**
 * Make the plan again from the records as they are now.
 *
 * @param {Model} model
 */
async function calculate(model) {
  try {
    const before = model.casefile && evidenceOf(model);
    model.casefile = await openCasefile(model.id);
    showDecidedLens(model);
    model.plan = await planOf(model.casefile, model.eye, model.choice, model.aims);
    model.digest = model.plan.shown ? await digestOf(model.plan.shown) : "";
    // A back-up was named beside one lens of one plan; newer readings may offer it no more.
    model.backup = offeredBackup(model);
    model.names = await namesOfUsers();
    model.trouble = null;
    if (before && before !== evidenceOf(model)) forget(model);
    lookAtChecks(model);
    if (CLOSED.has(foldOf(model).state)) await forgetTyped(model);
    await markSeen(seenKey(model), seenNow(foldOf(model), caseMark(foldOf(model)), new Date().toISOString()));
  } catch (error) {
    model.trouble = /** @type {Error} */ (error).message;
  }
}

/**
 * An approved or ordered eye is shown with the lens and the aim that were approved.
 *
 * @param {Model} model
 */
function showDecidedLens(model) {
  const { state, approval } = foldOf(model);
  if (!model.choice && approval && ["approved", ...ORDERED, "implanted", "followed"].includes(state)) {
    const { lens, target = null, surgical_change = null } = approval.shown;
    Object.assign(model, { choice: lens, backup: approval.backup, aims: { target, surgical_change } });
  }
}

/** @param {Model} model */
function lookAtChecks(model) {
  model.isOldPage = isOld(updateStatus().ready, syncStatus().serverCore, coreSha256());
  const fold = foldOf(model);
  const of = (/** @type {{ id: string } | null} */ record) => (record ? checkOf(record.id) : null);
  if (fold) model.checks = { request: of(fold.request), approval: of(fold.approval), hasApproval: fold.approval !== null };
}

/** @param {Model} model */
const seenKey = ({ identity, id, eye }) => `${identity.user.id}/${caseKey(id, eye)}`;

/** @param {Model} model */
const foldOf = ({ casefile, eye }) => casefile?.fold.eyes[eye];

/** @param {Model} model */
function evidenceOf(model) {
  const { evidence, contradicting, late } = foldOf(model);
  const unanswered = (late?.unanswered ?? []).map((/** @type {any} */ { record }) => record);
  return [...evidence, ...contradicting, ...unanswered].join(" ");
}

/**
 * Newer records came: what was acknowledged was about other readings, so it is asked again.
 *
 * @param {Model} model
 */
function forget(model) {
  model.acknowledged.clear();
  model.isRead = false;
  // What was about to be signed was about other records.
  if (SIGNED.has(model.sheet)) Object.assign(model, { sheet: null, typed: "" });
  model.notice = "The records of this eye changed while you looked. Read it again before you decide.";
}
