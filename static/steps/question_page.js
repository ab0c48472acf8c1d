/**
 * A page of questions to a person: yes, no, or openly "not asked"; a later answer replaces.
 *
 * @import { Place } from "../main.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Problem } from "./form_keep.js"
 * @import { Asking, Sheet, Typed } from "./question_fields.js"
 */
import { html, nothing } from "lit-html";
import { dropDraft, keepDraft, readDraft } from "../store/drafts.js";
import { entriesOfPerson, keepRecord } from "../store/journal.js";
import { personHere } from "../store/people.js";
import { errorList } from "../ui/form.js";
import { notKeptLine } from "../ui/kept_line.js";
import { pageHead, personLine } from "../ui/page.js";
import { emptyLine } from "../ui/waiting.js";
import { isSound, keepForm, noteTyped } from "./form_keep.js";
import { go, openPage, strips } from "./frame.js";
import { problemAt, textAsked, written } from "./question_fields.js";

const REASON = "Why the answers change";

/**
 * @typedef {object} Model
 * @property {string} id
 * @property {PersonRow | null} person
 * @property {Typed} typed
 * @property {string | null} replaces the answers that stand now
 * @property {Problem[]} problems
 * @property {string | null} trouble
 * @property {boolean} busy
 * @typedef {{ type: Asking["type"], save: () => void }} Acts
 */

/**
 * Open a page that asks one sheet; what is typed is kept until it is a record.
 *
 * @param {Sheet} sheet
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function askSheet(sheet, { root, params: [id = ""] }) {
  const draft = `${sheet.draft}/${id}`;
  const [person, typed, replaces] = await Promise.all([
    personHere(id),
    readDraft(draft),
    standing(sheet.kind, id),
  ]);
  /** @type {Model} */
  const model = {
    ...{ id, person, replaces, typed: typed ?? {} },
    ...{ problems: [], trouble: null, busy: false },
  };
  /** @type {Acts} */
  const acts = {
    type(field, text) {
      noteTyped(model, field, text);
      void keepDraft(draft, model.typed);
      page.redraw();
    },
    save: () => void save(sheet, model, () => page.redraw()),
  };
  const page = openPage(root, () => view(sheet, model, acts));
  return page.stop;
}

/**
 * Return the id of the answers that no later ones replace, or null.
 *
 * @param {string} kind
 * @param {string} id the person
 * @returns {Promise<string | null>}
 */
async function standing(kind, id) {
  const entries = (await entriesOfPerson(id)).filter(({ payload }) => payload.kind === kind);
  const replaced = new Set(entries.map(({ payload }) => payload.replaces));
  const live = entries.filter((entry) => !replaced.has(entry.id));
  // Of two registrations that were joined, the one that the person goes by.
  return (live.findLast(({ payload }) => payload.person === id) ?? live.at(-1))?.id ?? null;
}

/**
 * @param {Sheet} sheet
 * @param {Model} model
 * @param {Acts} acts
 */
function view(sheet, model, acts) {
  const { person, id } = model;
  if (!person) return html`<main>${emptyLine("This person is not on this phone.")}</main>`;
  const back = { href: `#/person/${id}`, label: person.name };
  return html`${pageHead({ title: sheet.title, name: person.name, back })} ${personLine(person)}
    ${strips()}
    <main>${form(sheet, model, acts)}</main>`;
}

/**
 * @param {Sheet} sheet
 * @param {Model} model
 * @param {Acts} acts
 */
function form({ kind, fields }, { typed, problems, trouble, replaces, busy }, { type, save }) {
  const asking = { kind, typed, problems, type };
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    save();
  };
  return html`<form class="form gap-top" @submit=${submit} novalidate>
    ${errorList(problems)} ${trouble ? notKeptLine(trouble) : nothing}
    ${replaces ? html`<p class="hint">New answers replace the ones kept before; those stay in the
      record.</p>` : nothing}
    ${fields(asking)}
    ${replaces ? textAsked(asking, "reason", { label: REASON, maxChars: 500 }) : nothing}
    <div class="dock"><button type="submit" class="btn main wide"
      aria-disabled=${busy}>Keep the answers</button></div>
  </form>`;
}

/**
 * @param {Sheet} sheet
 * @param {Model} model
 * @param {() => void} redraw
 */
async function save(sheet, model, redraw) {
  if (model.busy || !isSound(model, problemsOf(sheet, model), redraw)) return;
  const { id, person, replaces, typed } = model;
  const answers = Object.fromEntries(sheet.questions.map((name) => [name, typed[name]]));
  const reason = replaces ? written(typed["reason"]) : null;
  const work = async () => {
    const draft = `${sheet.draft}/${id}`;
    const asked = {
      ...{ kind: sheet.kind, person: id, eye: null, site: person?.site, replaces, reason },
      body: { ...answers, ...sheet.details(typed) },
    };
    await keepRecord(asked, { draft });
    await dropDraft(draft);
    go(`#/person/${id}`);
  };
  await keepForm(model, work, redraw);
}

/**
 * @param {Sheet} sheet
 * @param {Model} model
 * @returns {Problem[]}
 */
function problemsOf({ kind, questions, detailProblems }, { typed, replaces }) {
  const open = questions.filter((name) => !typed[name]);
  const problems = open.map((name) => problemAt(kind, name, "Choose yes, no, or not asked."));
  problems.push(...(detailProblems?.(typed) ?? []));
  if (replaces && !written(typed["reason"])) {
    problems.push({ field: "reason", label: REASON, message: "Say why in a few words." });
  }
  return problems;
}
