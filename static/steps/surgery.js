/**
 * Recording a surgery: the lens that was approved is shown to be compared with the label, and
 * nothing is filled in; whoever records it says that the label agrees, or what it says instead.
 *
 * @import { Place } from "../main.js"
 * @import { Problem } from "./form_keep.js"
 * @import { Typed } from "./question_fields.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Eye } from "../ui/eyes.js"
 */
import { html, nothing } from "lit-html";
import { dropDraft, keepDraft, readDraft } from "../store/drafts.js";
import { keepRecord } from "../store/journal.js";
import { personHere } from "../store/people.js";
import { eyeBand, eyeFrom, eyeWord } from "../ui/eyes.js";
import { errorList } from "../ui/form.js";
import { notKeptLine } from "../ui/kept_line.js";
import { pageHead, personLine } from "../ui/page.js";
import { coreNotice, emptyLine, waitingLine } from "../ui/waiting.js";
import { coreStatus } from "../core/runtime.js";
import { lensText } from "./case_decision.js";
import { openCasefile } from "./casefile.js";
import { isSound, keepForm, noteTyped } from "./form_keep.js";
import { go, openPage, strips } from "./frame.js";
import { bodyOf, problemsOf, SURGERY } from "./surgery_body.js";
import { surgeryFields } from "./surgery_fields.js";

/**
 * @typedef {object} Model
 * @property {string} id
 * @property {Eye} eye
 * @property {PersonRow | null} person
 * @property {any} fold of the eye, null until it is calculated
 * @property {Typed} typed
 * @property {Problem[]} problems
 * @property {string | null} trouble
 * @property {boolean} busy
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params: [id = "", eyeParam] }) {
  const eye = eyeFrom(eyeParam) ?? "R";
  const draft = `surgery/${id}/${eye}`;
  const [person, typed] = await Promise.all([personHere(id), readDraft(draft)]);
  /** @type {Model} */
  const model = {
    ...{ id, eye, person, fold: null, typed: typed ?? {} },
    ...{ problems: [], trouble: null, busy: false },
  };
  const redraw = () => page.redraw();
  const acts = {
    /** @param {string} field @param {string} text */
    type(field, text) {
      noteTyped(model, field, text);
      void keepDraft(draft, model.typed);
      redraw();
    },
    save: () => void save(model, draft, redraw),
  };
  const page = openPage(root, () => view(model, acts));
  try {
    model.fold = (await openCasefile(id)).fold.eyes[eye];
  } catch (error) {
    model.trouble = /** @type {Error} */ (error).message;
  }
  redraw();
  return page.stop;
}

/**
 * @param {Model} model
 * @param {{ type: (field: string, text: string) => void, save: () => void }} acts
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
 * @param {{ type: (field: string, text: string) => void, save: () => void }} acts
 */
function form(model, { type, save: keep }) {
  const { fold, problems, trouble, typed, busy, eye } = model;
  if (fold.surgeries.length > 0) {
    return emptyLine("A surgery is recorded for this eye. Whoever recorded it withdraws it first.");
  }
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    keep();
  };
  const lens = approvedLens(fold);
  return html`<form class="form gap-top" @submit=${submit} novalidate>
    ${errorList(problems)} ${trouble ? notKeptLine(trouble) : nothing}
    <p class="notice">${lens ? html`Approved and ordered for this eye: <span class="strong">${lensText(lens)},
      ${lens.model}</span>. Compare it with the label that was in the box, figure by figure.` : html`No order for
      this eye is on this phone. Write what the label says.`}</p>
    ${surgeryFields({ kind: SURGERY, typed, problems, type }, lens)}
    <div class="dock"><button type="submit" class="btn main wide" aria-disabled=${busy}>Keep the surgery,
      ${eyeWord(eye).toLowerCase()}</button></div>
  </form>`;
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
  const { id, eye, person, typed, fold } = model;
  const lens = approvedLens(fold);
  if (model.busy || !isSound(model, problemsOf(typed, lens), redraw)) return;
  const work = async () => {
    const body = bodyOf(typed, lens, fold.order);
    await keepRecord({ kind: SURGERY, person: id, eye, site: person?.site, body }, { draft });
    await dropDraft(draft);
    go(`#/person/${id}`);
  };
  await keepForm(model, work, redraw);
}
