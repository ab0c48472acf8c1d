/**
 * Urgent: the whole screen says what was read, what to do, and asks who was told.
 *
 * Leaving it changes nothing: the strip on every page stays until the base has the reading or
 * somebody was told. Who read it wrong takes another reading or corrects it; the first stays.
 *
 * @import { Place } from "../main.js"
 * @import { Problem } from "./form_keep.js"
 * @import { Typed } from "./question_fields.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Eye } from "../ui/eyes.js"
 */
import { html, nothing } from "lit-html";
import { coreStatus } from "../core/runtime.js";
import { dropDraft, keepDraft, readDraft } from "../store/drafts.js";
import { keepRecord, onChange } from "../store/journal.js";
import { personHere } from "../store/people.js";
import { eyeBand, eyeOf, eyeWord } from "../ui/eyes.js";
import { errorList } from "../ui/form.js";
import { icon } from "../ui/icons.js";
import { notKeptLine } from "../ui/kept_line.js";
import { day, moment } from "../ui/moments.js";
import { nameThePage, personLine } from "../ui/page.js";
import { coreNotice, emptyLine, waitingLine } from "../ui/waiting.js";
import { openCasefile } from "./casefile.js";
import { isSound, keepForm, noteTyped } from "./form_keep.js";
import { go, openPage, together } from "./frame.js";
import { choiceAsked, dayAsked, textAsked, written } from "./question_fields.js";
import { openOnes, problemsOf, TOLD, toldBody } from "./urgent_told.js";

const BUZZ_MS = 400;
/** What is read once more, by what was urgent. @type {Record<string, string>} */
const AGAIN = { pressure: "after_pressure", touch: "after_vault", closed: "after_vault" };

/**
 * @typedef {object} Model
 * @property {string} id
 * @property {Eye} eye
 * @property {PersonRow | null} person
 * @property {any[] | null} items what is urgent and not answered; null until it is calculated
 * @property {Typed} typed
 * @property {Problem[]} problems
 * @property {string | null} trouble
 * @property {boolean} busy
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params: [id = "", eyeParam] }) {
  const eye = eyeOf(eyeParam);
  const draft = `urgent/${id}/${eye}`;
  const [person, typed] = await Promise.all([personHere(id), readDraft(draft)]);
  /** @type {Model} */
  const model = {
    ...{ id, eye, person, items: null, typed: typed ?? {} },
    ...{ problems: [], trouble: null, busy: false },
  };
  const redraw = () => page.redraw();
  const acts = {
    type(/** @type {string} */ field, /** @type {string} */ text) {
      noteTyped(model, field, text);
      void keepDraft(draft, model.typed);
      redraw();
    },
    save: () => void save(model, draft, redraw),
  };
  const page = openPage(root, () => view(model, acts));
  const refresh = async () => {
    try {
      model.items = openOnes((await openCasefile(id)).fold.eyes[eye].urgent);
    } catch (error) {
      model.trouble = /** @type {Error} */ (error).message;
    }
    redraw();
  };
  await refresh();
  navigator.vibrate?.(BUZZ_MS);
  const stopStore = onChange(({ persons }) => {
    if (persons.includes(id)) void refresh();
  });
  return together([page.stop, stopStore]);
}

/**
 * @param {Model} model
 * @param {{ type: (field: string, text: string) => void, save: () => void }} acts
 */
function view(model, acts) {
  const { person, eye, id, items, trouble } = model;
  nameThePage("Urgent");
  if (!person) return html`<main>${emptyLine("This person is not on this phone.")}</main>`;
  return html`<div class="page urgent-page" role="alertdialog" aria-labelledby="act-now">
    <header class="urgent-head"><h1 id="act-now" tabindex="-1">${icon("stop")} Act now</h1></header>
    ${personLine(person)} ${eyeBand({ eye })}
    <main>
      ${items === null && trouble ? html`${coreNotice(coreStatus())}${waitingLine(trouble)}` : nothing}
      ${items?.length === 0 ? emptyLine("Nothing here waits for an answer any more.") : nothing}
      ${(items ?? []).map((item) => found(id, eye, item))}
      ${items && items.length > 0 ? telling(model, acts) : nothing}
      <p class="gap-top"><a class="link" href="#/person/${id}">To the person’s page; the warning
        stays until the base has it or somebody was told</a></p>
    </main></div>`;
}

/**
 * @param {string} id
 * @param {Eye} eye
 * @param {any} item
 */
function found(id, eye, { code, title, values, why, steps, first, taken, told, at_base }) {
  return html`<section class="urgent-found" aria-label=${title}>
    <h2>${title}</h2>
    <p class="t-figure">${values.join("; ")}</p>
    <p>${eyeWord(eye)}, read ${moment(taken)}. ${why}</p>
    <ol>${steps.map((/** @type {string} */ step) => html`<li>${step}</li>`)}</ol>
    <p class="t-small">${first}</p>
    <p class="t-small">${at_base ? "The base has this reading." : "The base does not have this reading yet: it is sent first, as soon as there is a network."}</p>
    ${told.map(
      (/** @type {any} */ said) => html`<p>Told: <b>${said.whom}</b>, ${moment(said.wall)}: “${said.text}”${said.comes_on ? ` Comes back on ${day(said.comes_on)}.` : ""}</p>`,
    )}
  </section>
  <p><a class="btn wide" href="#/capture/${id}/${eye}/${AGAIN[code]}">Measure once more, or read it wrong</a></p>`;
}

/**
 * @param {Model} model
 * @param {{ type: (field: string, text: string) => void, save: () => void }} acts
 */
function telling({ typed, problems, trouble, busy }, { type, save: keep }) {
  const asking = { kind: TOLD, typed, problems, type };
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    keep();
  };
  return html`<form class="form gap-top" @submit=${submit} novalidate>
    ${errorList(problems)} ${trouble ? notKeptLine(trouble) : nothing}
    ${textAsked(asking, "whom", { maxChars: 120 })} ${choiceAsked(asking, "how", [], "one")}
    ${textAsked(asking, "text", { maxChars: 500, isLong: true })} ${dayAsked(asking)}
    <div class="dock"><button type="submit" class="btn main wide" aria-disabled=${busy}>I told
      somebody</button></div>
  </form>`;
}

/**
 * @param {Model} model
 * @param {string} draft
 * @param {() => void} redraw
 */
async function save(model, draft, redraw) {
  const { id: person, eye, items, typed } = model;
  if (model.busy || !items || !isSound(model, problemsOf(typed), redraw)) return;
  const work = async () => {
    const body = toldBody(items, { ...typed, whom: written(typed["whom"]) ?? "", text: written(typed["text"]) ?? "" });
    await keepRecord({ kind: TOLD, person, eye, site: model.person?.site, body }, { draft });
    await dropDraft(draft);
    go(`#/person/${person}`);
  };
  await keepForm(model, work, redraw);
}
