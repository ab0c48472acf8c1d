/**
 * Asking that an exchange of the lens in an eye be weighed: why, and a note; kept offline like any
 * record. Whoever asked takes it back here.
 *
 * @import { Place } from "../main.js"
 * @import { Problem } from "./form_keep.js"
 * @import { Asking, Typed } from "./question_fields.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Eye } from "../ui/eyes.js"
 *
 * @typedef {object} Model
 * @property {string} id
 * @property {Eye} eye
 * @property {string} user who works here
 * @property {PersonRow | null} person
 * @property {any} fold of the eye, null until it is calculated
 * @property {Map<string, string>} names
 * @property {Typed} typed
 * @property {Problem[]} problems
 * @property {string | null} trouble
 * @property {boolean} busy
 * @typedef {{ type: (field: string, text: string) => void, fill: (typed: Typed) => void, save: () => void }} Acts
 */
import { html, nothing } from "lit-html";
import { coreStatus } from "../core/runtime.js";
import { dropDraft, keepDraft, readDraft } from "../store/drafts.js";
import { keepRecord } from "../store/journal.js";
import { namesOfUsers } from "../store/keys.js";
import { personHere } from "../store/people.js";
import { eyeBand, eyeOf, eyeWord } from "../ui/eyes.js";
import { errorList } from "../ui/form.js";
import { notKeptLine } from "../ui/kept_line.js";
import { day, moment } from "../ui/moments.js";
import { pageHead, personLine, sectionHead } from "../ui/page.js";
import { coreNotice, emptyLine, waitingLine } from "../ui/waiting.js";
import { capital } from "./case_decision.js";
import { openCasefile } from "./casefile.js";
import { isSound, keepForm, noteTyped } from "./form_keep.js";
import { go, openPage, strips } from "./frame.js";
import { lensInEye, openAsks } from "./lens_in_eye.js";
import { choiceAsked, problemAt, textAsked, written } from "./question_fields.js";

const ASKED = "exchange.asked";

/**
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params: [id = "", eyeParam], identity }) {
  const eye = eyeOf(eyeParam);
  const draft = `ask/${id}/${eye}`;
  const [person, typed, names] = await Promise.all([personHere(id), readDraft(draft), namesOfUsers()]);
  /** @type {Model} */
  const model = {
    ...{ id, eye, person, names, user: identity.user.id, fold: null, typed: typed ?? {} },
    ...{ problems: [], trouble: null, busy: false },
  };
  const redraw = () => page.redraw();
  /** @type {Acts} */
  const acts = {
    type(field, text) {
      noteTyped(model, field, text);
      void keepDraft(draft, model.typed);
      redraw();
    },
    fill(fields) {
      Object.assign(model, { typed: fields, problems: [], trouble: null });
      void dropDraft(draft);
      redraw();
    },
    save: () => void save(model, draft, redraw),
  };
  const page = openPage(root, () => view(model, acts));
  try {
    model.fold = (await openCasefile(id)).fold.eyes[eye];
    // What was to be taken back and is answered or gone meanwhile is not a beginning of a new one.
    if (model.typed["back"] && !takenBack(model)) acts.fill({});
  } catch (error) {
    model.trouble = /** @type {Error} */ (error).message;
  }
  redraw();
  return page.stop;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function view(model, acts) {
  const { person, eye, id, fold, trouble } = model;
  if (!person) return html`<main>${emptyLine("This person is not on this phone.")}</main>`;
  const back = { href: `#/person/${id}`, label: person.name };
  return html`${pageHead({ title: `Ask for an exchange, ${eyeWord(eye).toLowerCase()}`, name: person.name, back })}
    ${personLine(person)} ${strips()} ${eyeBand({ eye })}
    <main>
      ${!fold && trouble ? html`${coreNotice(coreStatus())}${waitingLine(trouble)}` : nothing}
      ${!fold && !trouble ? waitingLine("Putting the records together, about 1 second.") : nothing}
      ${fold ? page(model, acts) : nothing}
    </main>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function page(model, acts) {
  const lens = lensInEye(model.fold);
  if (!lens) return emptyLine("By the records there is not just one lens in this eye: nothing to weigh.");
  const back = takenBack(model);
  if (back) return form(model, acts, backFields(model, acts), "Take it back");
  return html`${askedBefore(model, acts)} ${sectionHead("Ask to weigh an exchange")}
    <p class="t-small">In the eye since ${day(lens.body.operated)}: <span class="strong">${lens.text}</span>.
      A surgeon reads this in the queue and decides. If the eye cannot wait, call as well.</p>
    ${form(model, acts, askFields(asking(model, acts)), `Keep, ${eyeWord(model.eye).toLowerCase()}`)}`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 * @param {unknown} fields
 * @param {string} button
 */
function form({ problems, trouble, busy }, acts, fields, button) {
  return html`<form class="form gap-top" novalidate @submit=${(/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    acts.save();
  }}>
    ${errorList(problems)} ${trouble ? notKeptLine(trouble) : nothing} ${fields}
    <div class="dock"><button type="submit" class="btn main wide" aria-disabled=${busy}>${button}</button></div>
  </form>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 * @returns {Asking}
 */
const asking = ({ typed, problems }, { type }) => ({ kind: ASKED, typed, problems, type });

/** @param {Asking} asked */
const askFields = (asked) => html`${choiceAsked(asked, "why", [], "one")}
  ${textAsked(asked, "note", { maxChars: 500, isLong: true, hint: "What was seen, and how urgent it is" })}`;

/**
 * @param {Model} model
 * @param {Acts} acts
 */
const backFields = (model, acts) => html`<p class="notice">Taken back: <span class="strong">${takenBack(model)?.text}</span>.
    It stays in the record, marked as withdrawn.
    <button type="button" class="btn" @click=${() => acts.fill({})}>Leave it as it is</button></p>
  ${textAsked(asking(model, acts), "reason", { label: "Reason", maxChars: 500, isLong: true })}`;

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function askedBefore({ fold, names, user }, acts) {
  return openAsks(fold.exchange).map(({ id, author, wall, text }) => html`<section class="notice gap-top" aria-label="Asked before">
    <p><span class="strong">${author === user ? "You" : names.get(author) ?? "A colleague"} asked</span>
      <span class="t-small soft">${moment(wall)}</span></p>
    <p class="t-small">${capital(text)}</p><p class="t-small soft">No surgeon has decided on it yet.</p>
    ${author === user ? html`<button type="button" class="btn" @click=${() => acts.fill({ back: id })}>Take it back</button>` : nothing}
  </section>`);
}

/**
 * Return what is to be taken back, if it is one's own and still open.
 *
 * @param {Model} model
 */
const takenBack = ({ fold, typed, user }) =>
  openAsks(fold.exchange).find(({ id, author }) => id === typed["back"] && author === user);

/** @param {Model} model @returns {Problem[]} */
function problemsOf({ typed }) {
  if (typed["back"]) {
    return written(typed["reason"]) ? [] : [{ field: "reason", label: "Reason", message: "Write why." }];
  }
  if (!typed["why"]) return [problemAt(ASKED, "why", "Choose why.")];
  const isOpen = typed["why"] === "other" && !written(typed["note"]);
  return isOpen ? [problemAt(ASKED, "note", "Write in a few words why.")] : [];
}

/** @param {Model} model */
function recordOf({ fold, typed }) {
  if (typed["back"]) return { kind: "record.void", reason: written(typed["reason"]), body: { target: typed["back"] } };
  return { kind: ASKED, body: { implant: lensInEye(fold).id, why: typed["why"], note: written(typed["note"]) } };
}

/**
 * @param {Model} model
 * @param {string} draft
 * @param {() => void} redraw
 */
async function save(model, draft, redraw) {
  if (model.busy || !isSound(model, problemsOf(model), redraw)) return;
  const work = async () => {
    const { id: person, eye } = model;
    await keepRecord({ person, eye, site: model.person?.site, ...recordOf(model) }, { draft });
    await dropDraft(draft);
    go(`#/person/${person}`);
  };
  await keepForm(model, work, redraw);
}
