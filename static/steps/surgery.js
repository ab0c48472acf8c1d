/**
 * Recording a surgery: the lens that was approved is shown to be compared with the label, and
 * nothing is filled in; whoever records it says that the label agrees, or what it says instead.
 * Its author comes back here to correct or withdraw it.
 *
 * @import { Place } from "../main.js"
 * @import { Problem } from "./form_keep.js"
 * @import { Typed } from "./question_fields.js"
 * @import { Entry } from "../store/journal.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Eye } from "../ui/eyes.js"
 */
import { html, nothing } from "lit-html";
import { dropDraft, keepDraft, readDraft } from "../store/drafts.js";
import { keepRecord } from "../store/journal.js";
import { personHere } from "../store/people.js";
import { eyeBand, eyeOf, eyeWord } from "../ui/eyes.js";
import { errorList } from "../ui/form.js";
import { notKeptLine } from "../ui/kept_line.js";
import { pageHead, personLine } from "../ui/page.js";
import { coreNotice, emptyLine, waitingLine } from "../ui/waiting.js";
import { coreStatus } from "../core/runtime.js";
import { lensText } from "./case_decision.js";
import { openCasefile } from "./casefile.js";
import { isSound, keepForm, noteTyped } from "./form_keep.js";
import { go, openPage, strips, together } from "./frame.js";
import { written } from "./question_fields.js";
import { bodyOf, problemsOf, SURGERY } from "./surgery_body.js";
import { amendedIn, AMENDING, amendingHead, reasonProblems, typedOf } from "./surgery_amend.js";
import { explantBody, explantFields, explantProblems } from "./surgery_explant.js";
import { surgeryFields } from "./surgery_fields.js";
import { lensInEye, lensToTakeOut } from "./lens_in_eye.js";
import { before, recorded } from "./surgery_recorded.js";
import { amendedRemoval, problemsOfRemoval, removalForm, removalRecord } from "./surgery_removal.js";
import { explantScan } from "./surgery_scan.js";
import { aroundOf, theatreBody, theatreFields, theatreProblems } from "./surgery_theatre.js";

/**
 * @typedef {object} Model
 * @property {string} id
 * @property {string} user who works here
 * @property {Eye} eye
 * @property {PersonRow | null} person
 * @property {any} fold of the eye, null until it is calculated
 * @property {Entry[]} entries it was calculated from
 * @property {Typed} typed
 * @property {Problem[]} problems
 * @property {import("./casefile.js").Casefile | null} casefile
 * @property {string | null} trouble
 * @property {boolean} busy
 * @property {boolean} isScanning whether the camera looks for the code of a lens taken out
 * @property {string} scanSaid
 *
 * @typedef {object} Acts
 * @property {(field: string, text: string) => void} type
 * @property {(typed: Typed) => void} fill
 * @property {() => void} save
 * @property {(lens: any) => unknown} scan draws where the code of the lens taken out is scanned
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params: [id = "", eyeParam], identity }) {
  const eye = eyeOf(eyeParam);
  const draft = `surgery/${id}/${eye}`;
  const [person, typed] = await Promise.all([personHere(id), readDraft(draft)]);
  /** @type {Model} */
  const model = {
    ...{ id, eye, person, user: identity.user.id, fold: null, entries: [], typed: typed ?? {} },
    ...{ problems: [], trouble: null, busy: false, casefile: null, isScanning: false, scanSaid: "" },
  };
  const redraw = () => page.redraw();
  const type = (/** @type {string} */ field, /** @type {string} */ text) => {
    noteTyped(model, field, text);
    void keepDraft(draft, model.typed);
    redraw();
  };
  const scan = explantScan(model, { type, redraw });
  /** @type {Acts} */
  const acts = {
    type,
    scan: scan.view,
    fill(fields) {
      Object.assign(model, { typed: fields, problems: [], trouble: null });
      // An empty draft would still be one: while there is a draft, the app does not change its version.
      void (fields["amends"] ? keepDraft(draft, fields) : dropDraft(draft));
      redraw();
      scrollTo(0, 0);
    },
    save: () => void save(model, draft, redraw),
  };
  const page = openPage(root, () => view(model, acts));
  try {
    const casefile = await openCasefile(id);
    Object.assign(model, { casefile, fold: casefile.fold.eyes[eye], entries: casefile.entries });
    // A record that was to be amended and stands no more is no beginning of a new one.
    if (model.typed["amends"] && !amendedIn(model.fold, model.typed) && !amendedRemoval(model)) acts.fill({});
  } catch (error) {
    model.trouble = /** @type {Error} */ (error).message;
  }
  redraw();
  return together([page.stop, scan.end]);
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function view(model, acts) {
  const { person, eye, id, fold, trouble } = model;
  if (!person) return html`<main>${emptyLine("This person is not on this phone.")}</main>`;
  const back = { href: `#/person/${id}`, label: person.name };
  return html`${pageHead({ title: `Surgery, ${eyeWord(eye).toLowerCase()}`, name: person.name, back })}
    ${personLine(person)} ${strips()} ${eyeBand({ eye })}
    <main>
      ${!fold && trouble ? html`${coreNotice(coreStatus())}${waitingLine(trouble)}` : nothing}
      ${!fold && !trouble ? waitingLine("Putting the records together, about 1 second.") : nothing}
      ${fold ? form(model, acts) : nothing}
    </main>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function form(model, acts) {
  const { fold, problems, trouble, typed, busy, eye } = model;
  const lens = approvedLens(fold);
  const amended = amendedIn(fold, typed);
  const out = comesOut(model);
  const gone = takenOut(model);
  if (gone) return removalForm(model, acts, gone);
  const stands = fold.surgeries.some((/** @type {any} */ { in_eye }) => in_eye !== 0);
  const amend = (/** @type {any} */ surgery, /** @type {string} */ how) =>
    acts.fill({ ...(how === "correct" ? typedOf(surgery, lens) : { amends: surgery.id, how }) });
  if (stands && !amended && !out) return recorded(model, acts, amend);
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    acts.save();
  };
  const asking = { kind: SURGERY, typed, problems, type: acts.type };
  const button = AMENDING[typed["how"] ?? ""]?.button ?? "Keep the surgery";
  return html`${amended || out ? nothing : before(model, acts, amend)}<form class="form gap-top" @submit=${submit} novalidate>
    ${errorList(problems)} ${trouble ? notKeptLine(trouble) : nothing}
    ${amended ? amendingHead(asking, () => acts.fill({})) : nothing}
    ${out ? html`${explantFields(asking, out, acts.scan(out))} ${amended ? nothing : leaveButton(acts)}` : nothing}
    ${typed["how"] === "withdraw" ? nothing : html`${toCompare(lens)} ${surgeryFields(asking, lens)}
      ${theatreFields(asking, around(model))}`}
    <div class="dock"><button type="submit" class="btn main wide" aria-disabled=${busy}>${button},
      ${eyeWord(eye).toLowerCase()}</button></div>
  </form>`;
}

/** @param {Acts} acts */
const leaveButton = (acts) => html`<button type="button" class="btn" @click=${() => acts.fill({})}>Leave it as it is</button>`;

/**
 * Return the surgery of the lens that comes out by what is recorded here, or null.
 *
 * @param {Pick<Model, "typed" | "fold">} model
 */
function comesOut({ typed, fold }) {
  const { explants = null } = amendedIn(fold, typed)?.body ?? {};
  if (explants !== null && typed["how"] === "correct") {
    return fold.surgeries.find((/** @type {any} */ { names }) => names.includes(explants)) ?? null;
  }
  if (typed["how"] === "remove") return lensToTakeOut(fold);
  return typed["how"] === "exchange" ? lensInEye(fold) : null;
}

/** The lens of a removal that is recorded or amended here, or null. @param {Model} model */
const takenOut = (model) => amendedRemoval(model)?.lens ?? (model.typed["how"] === "remove" ? comesOut(model) : null);

/** @param {Model} model */
const around = ({ fold, entries, typed }) => aroundOf(fold, amendedIn(fold, typed), entries);

/** @param {any} lens the lens that was ordered, or null */
function toCompare(lens) {
  return html`<p class="notice">${lens ? html`Approved and ordered for this eye: <span class="strong">${lensText(lens)},
      ${lens.model}</span>. Compare it with the label that was in the box, figure by figure.` : html`No order for
      this eye is on this phone. Write what the label says.`}</p>`;
}

/**
 * Return the lens that was ordered for the eye, or null.
 *
 * @param {any} fold
 */
function approvedLens({ order }) {
  return order?.live ? order.lens : null;
}

/**
 * @param {Model} model
 * @param {string} draft
 * @param {() => void} redraw
 */
async function save(model, draft, redraw) {
  if (model.busy || !isSound(model, problemsIn(model), redraw)) return;
  const work = async () => {
    const { id: person, eye } = model;
    await keepRecord({ person, eye, site: model.person?.site, ...recordOf(model) }, { draft });
    await dropDraft(draft);
    go(`#/person/${model.id}`);
  };
  await keepForm(model, work, redraw);
}

/** @param {Model} model @returns {Problem[]} */
function problemsIn(model) {
  const { typed, fold } = model;
  const out = comesOut({ typed, fold });
  const gone = takenOut(model);
  if (gone) return problemsOfRemoval(model, gone);
  const why = amendedIn(fold, typed) ? reasonProblems(typed) : [];
  if (typed["how"] === "withdraw") return why;
  return [...why, ...(out ? explantProblems(typed, out) : []), ...problemsOf(typed, approvedLens(fold)),
    ...theatreProblems(typed, around(model))];
}

/**
 * Return the kind and content of the record: a surgery, its correction, or its withdrawal.
 *
 * @param {Model} model
 */
function recordOf(model) {
  const { typed, fold } = model;
  const gone = takenOut(model);
  if (gone) return removalRecord(model, gone);
  const amended = amendedIn(fold, typed);
  const reason = written(typed["reason"]);
  if (amended && typed["how"] === "withdraw") {
    return { kind: "record.void", reason, body: { target: amended.id } };
  }
  const out = comesOut({ typed, fold });
  const taken = out ? explantBody(typed, out) : {};
  const body = { ...bodyOf(typed, approvedLens(fold), fold.order), ...theatreBody(typed, around(model)), ...taken };
  if (!amended) return { kind: SURGERY, body };
  const { order, approval } = amended.body;
  return { kind: SURGERY, replaces: amended.id, reason, body: { ...body, order, approval } };
}
