/**
 * Registering a person: every field asked, none filled in, and a warning where they may be here.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 * @import { PersonRow } from "../store/people.js"
 */
import { html, nothing } from "lit-html";
import { checkField, kindNamed } from "../records/kinds.js";
import { newUuid7 } from "../records/uuid7.js";
import { dropDraft, keepDraft, readDraft } from "../store/drafts.js";
import { possibleDuplicates } from "../store/duplicates.js";
import { keepRecord, NotKept } from "../store/journal.js";
import { choiceField, errorList, focusField, textField } from "../ui/form.js";
import { icon } from "../ui/icons.js";
import { notKeptLine } from "../ui/kept_line.js";
import { identifiers, pageHead } from "../ui/page.js";
import { choicesOf, fieldOf } from "../ui/quantities.js";
import { go, openPage, siteTitle, strips } from "./frame.js";

const KIND = "person.registered";
const DRAFT = "new-person";
const NOT_ALLOWED =
  "Without consent to keep the record nothing can be kept on this phone. Leave this page; " +
  "nothing was saved.";

/**
 * @typedef {{ field: string, label: string, message: string }} Problem
 * @typedef {object} Model
 * @property {Identity} identity
 * @property {Record<string, string>} typed
 * @property {Problem[]} problems
 * @property {{ person: PersonRow, why: string }[]} alike
 * @property {string | null} trouble
 * @property {boolean} busy
 * @typedef {{ type: (field: string, text: string) => void, save: (isOther?: boolean) => void, leave: () => void }} Acts
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, identity }) {
  const typed = (await readDraft(DRAFT)) ?? {};
  /** @type {Model} */
  const model = { identity, typed, problems: [], alike: [], trouble: null, busy: false };
  /** @type {Acts} */
  const acts = {
    type(field, text) {
      model.typed[field] = text;
      model.alike = [];
      void keepDraft(DRAFT, model.typed);
      page.redraw();
    },
    save: (isOther = false) => void save(model, () => page.redraw(), isOther),
    leave: () => void dropDraft(DRAFT).then(() => go("#/people")),
  };
  const page = openPage(root, () => view(model, acts));
  return page.stop;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function view(model, acts) {
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    if (model.alike.length === 0) acts.save();
  };
  const title = `Add a person, ${siteTitle(model.identity, model.identity.site)}`;
  return html`${pageHead({ title, back: { href: "#/people", label: "People" } })} ${strips()}
    <main>
      <p class="t-title gap-top">Add a person</p>
      <form class="form gap-top" @submit=${submit} novalidate>
        ${errorList(model.problems)} ${model.trouble ? notKeptLine(model.trouble) : nothing}
        ${text(model, acts, "name")} ${text(model, acts, "village")} ${choice(model, acts, "sex")}
        ${birth(model, acts)} ${text(model, acts, "camp_code")} ${text(model, acts, "phone")}
        ${choice(model, acts, "consent_store")} ${choice(model, acts, "consent_send")}
        ${model.alike.length > 0 ? alikeView(model, acts) : nothing}
        <div class="dock">
          <button type="submit" class="btn main wide"
            aria-disabled=${model.busy || model.alike.length > 0}>
            ${model.alike.length > 0 ? "Say first whether it is somebody else" : "Keep this person"}
          </button>
        </div>
      </form>
      <button type="button" class="btn quiet" @click=${() => acts.leave()}>Leave, throw away what is
        typed</button>
    </main>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 * @param {string} name
 * @param {{ label?: string, type?: string, hint?: string, inputmode?: "numeric" }} [how]
 */
function text({ typed, problems }, acts, name, how = {}) {
  const field = kindNamed(KIND).fields[name];
  const label = `${how.label ?? field.label}${name === "phone" ? " (if there is one)" : ""}`;
  return textField({
    id: name,
    label,
    value: typed[name] ?? "",
    hint: how.hint ?? (name === "camp_code" ? "As written on the person’s card" : undefined),
    error: problemOf(problems, name),
    maxChars: field.max_chars,
    type: how.type,
    inputmode: how.inputmode ?? (name === "phone" ? "tel" : undefined),
    onInput: (value) => acts.type(name, value),
  });
}

/**
 * @param {Model} model
 * @param {Acts} acts
 * @param {string} name
 */
function choice({ typed, problems }, acts, name) {
  return choiceField({
    id: name,
    label: fieldOf(KIND, name).label,
    choices: choicesOf(KIND, name),
    value: typed[name] ?? null,
    error: problemOf(problems, name),
    onChoose: (value) => acts.type(name, value),
  });
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function birth(model, acts) {
  const known = model.typed["birth_known"] ?? null;
  return html`${choiceField({
    id: "birth_known",
    label: "What is known of the birth?",
    choices: [
      ["date", "The full date"],
      ["year", "Only the year"],
    ],
    value: known,
    error: problemOf(model.problems, "birth_known"),
    onChoose: (value) => acts.type("birth_known", value),
  })}
    ${known === "date" ? text(model, acts, "birth_date", { type: "date" }) : nothing}
    ${
      known === "year"
        ? text(model, acts, "birth_year", { inputmode: "numeric", hint: "Four digits" })
        : nothing
    }`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function alikeView({ alike }, acts) {
  return html`<div class="finding caution" role="alert" id="alike" tabindex="-1">
    ${icon("caution")}
    <div class="title"><span class="level">Caution.</span> This person may be here already</div>
    <p>Two records of one person would split their readings. Open the one that is right, or keep
      this as somebody else.</p>
    <div class="stack">
      ${alike.map(({ person, why }) => html`<a class="btn"
        href="#/person/${person.id}">${person.name}, ${identifiers(person)}: ${why}</a>`)}
      <button type="button" class="btn" @click=${() => acts.save(true)}>It is somebody else,
        keep</button>
    </div>
  </div>`;
}

/**
 * @param {Problem[]} problems
 * @param {string} name
 */
function problemOf(problems, name) {
  return problems.find(({ field }) => field === name)?.message ?? null;
}

/**
 * @param {Model} model
 * @param {() => void} redraw
 * @param {boolean} isOther the optometrist said that nobody alike is this person
 */
async function save(model, redraw, isOther) {
  if (model.busy) return;
  const body = bodyOf(model.typed);
  model.problems = problemsOf(body, model.typed);
  model.trouble = null;
  if (model.problems.length > 0) return showProblems(model, redraw);
  if (!isOther)
    model.alike = await possibleDuplicates(/** @type {any} */ (body), model.identity.site ?? "");
  if (!isOther && model.alike.length > 0) return showProblems(model, redraw, "alike");
  model.busy = true;
  redraw();
  try {
    const person = newUuid7();
    await keepRecord({ kind: KIND, person, eye: null, body });
    await dropDraft(DRAFT);
    go(`#/person/${person}`);
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
 * @param {() => void} redraw
 * @param {string} [id]
 */
function showProblems(model, redraw, id = "errors") {
  redraw();
  if (model.problems.length > 0 || id === "alike") focusField(id);
}

/**
 * Return the record's body as typed; what is left empty is null.
 *
 * @param {Record<string, string>} typed
 * @returns {Record<string, any>}
 */
function bodyOf(typed) {
  const names = Object.keys(kindNamed(KIND).fields);
  const body = Object.fromEntries(names.map((name) => [name, tidy(typed[name])]));
  const year = typed["birth_known"] === "year" ? tidy(typed["birth_year"]) : null;
  const date = typed["birth_known"] === "date" ? body["birth_date"] : null;
  return {
    ...body,
    birth_date: date,
    birth_year: year && /^[0-9]{4}$/.test(year) ? Number(year) : year,
  };
}

/** @param {string | undefined} text */
const tidy = (text) => text?.normalize("NFC").trim().replace(/\s+/g, " ") || null;

/**
 * @param {Record<string, any>} body
 * @param {Record<string, string>} typed
 * @returns {Problem[]}
 */
function problemsOf(body, typed) {
  const fields = Object.entries(kindNamed(KIND).fields);
  const problems = fields.flatMap(([field, { label }]) => {
    const message = fieldProblem(field, body[field]);
    return message ? [{ field, label, message }] : [];
  });
  return [...birthProblem(body, typed), ...problems];
}

/**
 * @param {string} field
 * @param {unknown} value
 * @returns {string | null}
 */
function fieldProblem(field, value) {
  if (field === "consent_store" && value === "no") return NOT_ALLOWED;
  try {
    checkField(KIND, field, value);
    return null;
  } catch (error) {
    return /** @type {Error} */ (error).message;
  }
}

/**
 * @param {Record<string, any>} body
 * @param {Record<string, string>} typed
 * @returns {Problem[]}
 */
function birthProblem({ birth_date, birth_year }, typed) {
  if (birth_date || birth_year) return [];
  const known = typed["birth_known"];
  const label = "Birth";
  if (!known) return [{ field: "birth_known", label, message: "Say what is known, then type it." }];
  const field = known === "date" ? "birth_date" : "birth_year";
  return [{ field, label, message: `Type the ${known === "date" ? "date" : "year"}.` }];
}
