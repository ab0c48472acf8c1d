/**
 * Correcting a registration: the fields as they stand, changed openly and with a reason; what stood
 * before stays in the record.
 *
 * @import { Place } from "../main.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Problem } from "./form_keep.js"
 */
import { html, nothing } from "lit-html";
import { dropDraft, keepDraft, readDraft } from "../store/drafts.js";
import { keepRecord, recordOf } from "../store/journal.js";
import { personHere } from "../store/people.js";
import { errorList, textField } from "../ui/form.js";
import { notKeptLine } from "../ui/kept_line.js";
import { pageHead, personLine } from "../ui/page.js";
import { emptyLine } from "../ui/waiting.js";
import { isSound, keepForm, noteTyped, problemOf } from "./form_keep.js";
import { go, openPage, strips } from "./frame.js";
import { bodyOf, problemsOf, REGISTERED, typedOf } from "./registration.js";
import { registrationFields } from "./registration_fields.js";

/**
 * @typedef {object} Model
 * @property {PersonRow | null} person
 * @property {Record<string, any>} before the body that stands now
 * @property {Record<string, string>} typed
 * @property {Problem[]} problems
 * @property {string | null} trouble
 * @property {boolean} busy
 * @typedef {{ type: (field: string, text: string) => void, save: () => void, leave: () => void }} Acts
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params: [id = ""] }) {
  const key = `registration/${id}`;
  const [person, draft] = await Promise.all([personHere(id), readDraft(key)]);
  const before = person ? ((await recordOf(person.registered))?.payload.body ?? {}) : {};
  const typed = draft ?? typedOf(before);
  /** @type {Model} */
  const model = { person, before, typed, problems: [], trouble: null, busy: false };
  /** @type {Acts} */
  const acts = {
    type(field, text) {
      noteTyped(model, field, text);
      void keepDraft(key, model.typed);
      page.redraw();
    },
    save: () => void save(model, key, () => page.redraw()),
    leave: () => void dropDraft(key).then(() => go(`#/person/${id}`)),
  };
  const page = openPage(root, () => view(model, acts));
  return page.stop;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function view(model, acts) {
  const { person, problems, trouble, typed } = model;
  if (!person) return html`<main>${emptyLine("This person is not on this phone.")}</main>`;
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    acts.save();
  };
  const back = { href: `#/person/${person.id}`, label: person.name };
  return html`${pageHead({ title: "Correct the registration", name: person.name, back })}
    ${personLine(person)} ${strips()}
    <main>
      <p class="t-title gap-top">Correct the registration</p>
      <p class="hint">Only for the same person. What stood before stays in the record. Readings and
        answers are not touched.</p>
      <form class="form gap-top" @submit=${submit} novalidate>
        ${errorList(problems)} ${trouble ? notKeptLine(trouble) : nothing}
        ${registrationFields(model, acts)}
        ${textField({
          id: "reason",
          label: "Why it is corrected",
          value: typed["reason"] ?? "",
          error: problemOf(problems, "reason"),
          maxChars: 500,
          onInput: (text) => acts.type("reason", text),
        })}
        <div class="dock"><button type="submit" class="btn main wide"
          aria-disabled=${model.busy}>Keep the correction</button></div>
      </form>
      <button type="button" class="btn quiet" @click=${() => acts.leave()}>Leave it as it
        was</button>
    </main>`;
}

/**
 * @param {Model} model
 * @param {string} key of the draft
 * @param {() => void} redraw
 */
async function save(model, key, redraw) {
  const { person, typed } = model;
  if (model.busy || !person) return;
  const body = bodyOf(typed);
  if (!isSound(model, correctionProblems(model, body), redraw)) return;
  const reason = (typed["reason"] ?? "").trim().normalize("NFC");
  const work = async () => {
    await keepRecord({
      ...{ kind: REGISTERED, person: person.id, eye: null, site: person.site },
      ...{ replaces: person.registered, reason, body },
    }, { draft: key });
    await dropDraft(key);
    go(`#/person/${person.id}`);
  };
  await keepForm(model, work, redraw);
}

/**
 * @param {Model} model
 * @param {Record<string, any>} body
 * @returns {Problem[]}
 */
function correctionProblems({ typed, before }, body) {
  const problems = problemsOf(body, typed, false);
  const isSame = Object.keys(body).every((name) => body[name] === before[name]);
  if (isSame) {
    const message = "Nothing is changed yet. Change what is wrong, or leave it as it was.";
    problems.push({ field: "name", label: "Nothing", message });
  }
  if (!typed["reason"]?.trim()) {
    const label = "Why it is corrected";
    problems.push({ field: "reason", label, message: "Say why in a few words." });
  }
  return problems;
}
