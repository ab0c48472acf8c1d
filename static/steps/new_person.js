/**
 * Registering a person: every field asked, none filled in, and a warning where they may be here.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Problem } from "./form_keep.js"
 */
import { html, nothing } from "lit-html";
import { newUuid7 } from "../records/uuid7.js";
import { dropDraft, keepDraft, readDraft } from "../store/drafts.js";
import { clinicalSites } from "../store/identity.js";
import { possibleDuplicates } from "../store/duplicates.js";
import { keepRecord } from "../store/journal.js";
import { errorList } from "../ui/form.js";
import { icon } from "../ui/icons.js";
import { notKeptLine } from "../ui/kept_line.js";
import { identifiers, pageHead } from "../ui/page.js";
import { keepDifferent } from "./compared.js";
import { isSound, keepForm, noteTyped, showFirst } from "./form_keep.js";
import { go, openPage, siteTitle, strips } from "./frame.js";
import { bodyOf, problemsOf, REGISTERED } from "./registration.js";
import { registrationFields } from "./registration_fields.js";

const DRAFT = "new-person";

/**
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
      noteTyped(model, field, text);
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
        ${registrationFields(model, acts)}
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
 * @param {PersonRow} person
 * @param {Identity} identity
 */
const otherCamp = ({ site }, identity) => (site === identity.site ? "" : `, ${siteTitle(identity, site)}`);

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function alikeView({ alike, identity }, acts) {
  return html`<div class="finding caution" role="alert" id="alike" tabindex="-1">
    ${icon("caution")}
    <div class="title"><span class="level">Caution.</span> This person may be here already</div>
    <p>Two records of one person would split their readings. Open the one that is right, or keep
      this as somebody else.</p>
    <div class="stack">
      ${alike.map(({ person, why }) => html`<a class="btn"
        href="#/person/${person.id}"><span>${person.name}, ${identifiers(person)}${otherCamp(person, identity)}:
          ${why}</span></a>`)}
      <button type="button" class="btn" @click=${() => acts.save(true)}>It is somebody else,
        keep</button>
    </div>
  </div>`;
}

/**
 * @param {Model} model
 * @param {() => void} redraw
 * @param {boolean} isOther the optometrist said that nobody alike is this person
 */
async function save(model, redraw, isOther) {
  if (model.busy) return;
  const body = bodyOf(model.typed);
  if (!isSound(model, problemsOf(body, model.typed, true), redraw)) return;
  if (!isOther)
    model.alike = await possibleDuplicates(/** @type {any} */ (body), model.identity.site ?? "", clinicalSites(model.identity));
  if (!isOther && model.alike.length > 0) return showFirst("alike", redraw);
  const work = async () => {
    const person = newUuid7();
    await keepRecord({ kind: REGISTERED, person, eye: null, body }, { draft: DRAFT });
    await dropDraft(DRAFT);
    await keepDifferent(person, model.alike.map(({ person: { id } }) => id));
    go(`#/person/${person}`);
  };
  await keepForm(model, work, redraw);
}
