/**
 * Questions about general health: yes, no, or openly "not asked"; a later answer replaces.
 *
 * @import { Place } from "../main.js"
 * @import { PersonRow } from "../store/people.js"
 */
import { html, nothing } from "lit-html";
import { dropDraft, keepDraft, readDraft } from "../store/drafts.js";
import { entriesOfPerson, keepRecord, NotKept } from "../store/journal.js";
import { personHere } from "../store/people.js";
import { choiceField, errorList, focusField, textField } from "../ui/form.js";
import { notKeptLine } from "../ui/kept_line.js";
import { pageHead, personLine } from "../ui/page.js";
import { choicesOf, fieldOf } from "../ui/quantities.js";
import { emptyLine } from "../ui/waiting.js";
import { go, openPage, strips } from "./frame.js";
import { HEALTH, HEALTH_QUESTIONS } from "./health_sentence.js";

const REASON = "Why the answers change";

/**
 * @typedef {{ field: string, label: string, message: string }} Problem
 * @typedef {object} Model
 * @property {string} id
 * @property {PersonRow | null} person
 * @property {Record<string, string>} typed
 * @property {string | null} replaces the answers that stand now
 * @property {Problem[]} problems
 * @property {string | null} trouble
 * @property {boolean} busy
 * @typedef {(field: string, text: string) => void} Type
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params: [id = ""] }) {
  const [person, typed, replaces] = await Promise.all([
    personHere(id),
    readDraft(`health/${id}`),
    standing(id),
  ]);
  /** @type {Model} */
  const model = {
    ...{ id, person, replaces, typed: typed ?? {} },
    ...{ problems: [], trouble: null, busy: false },
  };
  /** @type {Type} */
  const type = (field, text) => {
    model.typed[field] = text;
    model.problems = model.problems.filter((problem) => problem.field !== field);
    void keepDraft(`health/${id}`, model.typed);
    page.redraw();
  };
  const page = openPage(root, () => view(model, type, () => void save(model, () => page.redraw())));
  return page.stop;
}

/**
 * Return the id of the answers that no later ones replace, or null.
 *
 * @param {string} id
 * @returns {Promise<string | null>}
 */
async function standing(id) {
  const entries = (await entriesOfPerson(id)).filter(({ payload }) => payload.kind === HEALTH);
  const replaced = new Set(entries.map(({ payload }) => payload.replaces));
  return entries.filter((entry) => !replaced.has(entry.id)).at(-1)?.id ?? null;
}

/**
 * @param {Model} model
 * @param {Type} type
 * @param {() => void} save
 */
function view(model, type, save) {
  const { person, id, typed, problems } = model;
  if (!person) return html`<main>${emptyLine("This person is not on this phone.")}</main>`;
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    save();
  };
  const back = { href: `#/person/${id}`, label: person.name };
  const text = (/** @type {string} */ field, /** @type {string} */ label) =>
    textField({
      ...{ id: field, label, value: typed[field] ?? "", maxChars: 500, isLong: field === "note" },
      error: problemOf(problems, field),
      onInput: (value) => type(field, value),
    });
  return html`${pageHead({ title: `Health, ${person.name}`, back })} ${personLine(person)}
    ${strips()}
    <main>
      <form class="form gap-top" @submit=${submit} novalidate>
        ${errorList(problems)} ${model.trouble ? notKeptLine(model.trouble) : nothing}
        ${model.replaces ? html`<p
          class="hint">New answers replace the ones kept before; those stay in the record.</p>` : nothing}
        ${HEALTH_QUESTIONS.map((name) => question(model, type, name))}
        ${isTold(typed) ? text("note", fieldOf(HEALTH, "note").label) : nothing}
        ${model.replaces ? text("reason", REASON) : nothing}
        <div class="dock"><button type="submit" class="btn main wide"
          aria-disabled=${model.busy}>Keep the answers</button></div>
      </form>
    </main>`;
}

/**
 * @param {Model} model
 * @param {Type} type
 * @param {string} name
 */
function question({ typed, problems }, type, name) {
  return choiceField({
    id: name,
    label: fieldOf(HEALTH, name).label,
    choices: choicesOf(HEALTH, name),
    columns: "three",
    value: typed[name] ?? null,
    error: problemOf(problems, name),
    onChoose: (value) => type(name, value),
  });
}

/**
 * @param {Problem[]} problems
 * @param {string} name
 */
const problemOf = (problems, name) => problems.find(({ field }) => field === name)?.message ?? null;

/**
 * @param {Model} model
 * @param {() => void} redraw
 */
async function save(model, redraw) {
  if (model.busy) return;
  model.problems = problemsOf(model);
  model.trouble = null;
  if (model.problems.length > 0) {
    redraw();
    return focusField("errors");
  }
  model.busy = true;
  redraw();
  try {
    const { id, person, replaces, typed } = model;
    const reason = replaces ? written(typed["reason"]) : null;
    const record = { kind: HEALTH, person: id, eye: null, site: person?.site, replaces, reason };
    await keepRecord({ ...record, body: bodyOf(typed) });
    await dropDraft(`health/${id}`);
    go(`#/person/${id}`);
  } catch (error) {
    if (!(error instanceof NotKept)) throw error;
    model.trouble = error.message;
  } finally {
    model.busy = false;
    redraw();
  }
}

/**
 * @param {Model} model
 * @returns {Problem[]}
 */
function problemsOf({ typed, replaces }) {
  const problems = HEALTH_QUESTIONS.filter((name) => !typed[name]).map((field) => {
    const { label } = fieldOf(HEALTH, field);
    return { field, label, message: "Choose yes, no, or not asked." };
  });
  if (replaces && !written(typed["reason"])) {
    problems.push({ field: "reason", label: REASON, message: "Say why in a few words." });
  }
  return problems;
}

/** @param {Record<string, string>} typed */
function bodyOf(typed) {
  const answers = Object.fromEntries(HEALTH_QUESTIONS.map((name) => [name, typed[name]]));
  return { ...answers, note: isTold(typed) ? written(typed["note"]) : null };
}

/** @param {Record<string, string>} typed */
const isTold = (typed) => HEALTH_QUESTIONS.some((name) => typed[name] === "yes");

/**
 * Return what was written, or null where nothing was.
 *
 * @param {string | undefined} text
 */
const written = (text) => text?.trim().normalize("NFC") || null;
