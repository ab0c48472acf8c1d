/**
 * The four questions to the person: yes, no, or openly "not asked"; a later answer replaces.
 *
 * @import { Place } from "../main.js"
 * @import { PersonRow } from "../store/people.js"
 */
import { html, nothing } from "lit-html";
import { kindNamed } from "../records/kinds.js";
import { dropDraft, keepDraft, readDraft } from "../store/drafts.js";
import { entriesOfPerson, keepRecord, NotKept } from "../store/journal.js";
import { personHere } from "../store/people.js";
import { choiceField, errorList, focusField, textField } from "../ui/form.js";
import { notKeptLine } from "../ui/kept_line.js";
import { pageHead, personLine } from "../ui/page.js";
import { choicesOf, fieldOf } from "../ui/quantities.js";
import { emptyLine } from "../ui/waiting.js";
import { ANSWERS, QUESTIONS } from "./answers_sentence.js";
import { go, openPage, strips } from "./frame.js";

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
    readDraft(`answers/${id}`),
    standingAnswers(id),
  ]);
  /** @type {Model} */
  const model = {
    id,
    person,
    typed: typed ?? {},
    replaces,
    problems: [],
    trouble: null,
    busy: false,
  };
  /** @type {Type} */
  const type = (field, text) => {
    model.typed[field] = text;
    model.problems = model.problems.filter((problem) => problem.field !== field);
    void keepDraft(`answers/${id}`, model.typed);
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
async function standingAnswers(id) {
  const entries = (await entriesOfPerson(id)).filter(({ payload }) => payload.kind === ANSWERS);
  const replaced = new Set(entries.map(({ payload }) => payload.replaces));
  return entries.filter((entry) => !replaced.has(entry.id)).at(-1)?.id ?? null;
}

/**
 * @param {Model} model
 * @param {Type} type
 * @param {() => void} save
 */
function view(model, type, save) {
  const { person, id } = model;
  if (!person) return html`<main>${emptyLine("This person is not on this phone.")}</main>`;
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    save();
  };
  return html`${pageHead({ title: `Questions, ${person.name}`, back: { href: `#/person/${id}`, label: person.name } })}
    ${personLine(person)} ${strips()}
    <main>
      <form class="form gap-top" @submit=${submit} novalidate>
        ${errorList(model.problems)} ${model.trouble ? notKeptLine(model.trouble) : nothing}
        ${model.replaces ? html`<p class="hint">New answers replace the ones kept before; those stay
          in the record.</p>` : nothing}
        ${QUESTIONS.map((name) => html`<div>${question(model, type, name)}${details(model, type, name)}</div>`)}
        ${model.replaces ? reasonField(model, type) : nothing}
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
    label: fieldOf(ANSWERS, name).label,
    choices: choicesOf(ANSWERS, name),
    columns: "three",
    value: typed[name] ?? null,
    error: problemOf(problems, name),
    onChoose: (value) => type(name, value),
  });
}

/**
 * @param {Model} model
 * @param {Type} type
 * @param {string} name
 */
function details({ typed, problems }, type, name) {
  if (typed[name] !== "yes") return nothing;
  const fields = kindNamed(ANSWERS).fields;
  const text = (/** @type {string} */ field, /** @type {object} */ how) =>
    textField({
      id: field,
      label: fields[field].label,
      value: typed[field] ?? "",
      error: problemOf(problems, field),
      onInput: (value) => type(field, value),
      ...how,
    });
  if (name === "eye_disease")
    return html`<div class="gap-top">${text("eye_disease_note", { isLong: true, maxChars: 500 })}</div>`;
  if (name !== "contact_lenses") return nothing;
  return html`<div class="gap-top">${choiceField({
    id: "contact_lens_type",
    label: fields.contact_lens_type.label,
    choices: [...choicesOf(ANSWERS, "contact_lens_type"), ["", "Not known"]],
    columns: "three",
    value: typed["contact_lens_type"] ?? null,
    onChoose: (value) => type("contact_lens_type", value),
  })}</div>
    <div class="gap-top">${text("contact_lens_days_out", { inputmode: "numeric", hint: "Leave empty if not known" })}</div>`;
}

/**
 * @param {Model} model
 * @param {Type} type
 */
function reasonField({ typed, problems }, type) {
  return textField({
    id: "reason",
    label: "Why the answers change",
    value: typed["reason"] ?? "",
    error: problemOf(problems, "reason"),
    maxChars: 500,
    onInput: (value) => type("reason", value),
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
    const reason = replaces ? (typed["reason"]?.trim().normalize("NFC") ?? null) : null;
    const body = bodyOf(typed);
    await keepRecord({
      kind: ANSWERS,
      person: id,
      eye: null,
      site: person?.site,
      replaces,
      reason,
      body,
    });
    await dropDraft(`answers/${id}`);
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
  const { fields } = kindNamed(ANSWERS);
  const problems = QUESTIONS.filter((name) => !typed[name]).map((field) => {
    const message = "Choose yes, no, or not asked.";
    return { field, label: fields[field].label, message };
  });
  const days = typed["contact_lens_days_out"]?.trim();
  if (typed["contact_lenses"] === "yes" && days && !/^[0-9]{1,4}$/.test(days)) {
    const { label } = fields.contact_lens_days_out;
    problems.push({ field: "contact_lens_days_out", label, message: "Type whole days in digits." });
  }
  if (typed["eye_disease"] === "yes" && !typed["eye_disease_note"]?.trim()) {
    const { label } = fields.eye_disease_note;
    problems.push({
      field: "eye_disease_note",
      label,
      message: "Say which one; the surgeon needs it.",
    });
  }
  if (replaces && !typed["reason"]?.trim()) {
    problems.push({
      field: "reason",
      label: "Why the answers change",
      message: "Say why in a few words.",
    });
  }
  return problems;
}

/**
 * @param {Record<string, string>} typed
 * @returns {Record<string, any>}
 */
function bodyOf(typed) {
  const answers = Object.fromEntries(QUESTIONS.map((name) => [name, typed[name]]));
  const wears = typed["contact_lenses"] === "yes";
  const days = typed["contact_lens_days_out"]?.trim();
  return {
    ...answers,
    contact_lens_type: wears ? typed["contact_lens_type"] || null : null,
    contact_lens_days_out: wears && days ? Number(days) : null,
    eye_disease_note:
      typed["eye_disease"] === "yes"
        ? (typed["eye_disease_note"]?.trim().normalize("NFC") ?? null)
        : null,
  };
}
