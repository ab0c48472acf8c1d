/**
 * Calling somebody back for a visit after surgery: how, whether they were reached, when they come.
 *
 * @import { Place } from "../main.js"
 * @import { Problem } from "./form_keep.js"
 * @import { Asking, Typed } from "./question_fields.js"
 */
import { html, nothing } from "lit-html";
import { dropDraft, keepDraft, readDraft } from "../store/drafts.js";
import { keepRecord } from "../store/journal.js";
import { personHere } from "../store/people.js";
import { eyeBand, eyeOf, eyeWord } from "../ui/eyes.js";
import { errorList } from "../ui/form.js";
import { notKeptLine } from "../ui/kept_line.js";
import { pageHead, personLine, sectionHead } from "../ui/page.js";
import { emptyLine } from "../ui/waiting.js";
import { lensInEye } from "./lens_in_eye.js";
import { openCasefile } from "./casefile.js";
import { isSound, keepForm, noteTyped } from "./form_keep.js";
import { go, openPage, strips } from "./frame.js";
import { CONTACT, contactBody, problemsOf } from "./contact_body.js";
import { choiceAsked, dayAsked, textAsked } from "./question_fields.js";

/**
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params: [id = "", eyeParam] }) {
  const eye = eyeOf(eyeParam);
  const draft = `contact/${id}/${eye}`;
  const [person, kept] = await Promise.all([personHere(id), readDraft(draft)]);
  /** @type {{ typed: Typed, problems: Problem[], trouble: string | null, busy: boolean }} */
  const model = { typed: kept ?? {}, problems: [], trouble: null, busy: false };
  const redraw = () => page.redraw();
  const type = (/** @type {string} */ field, /** @type {string} */ text) => {
    noteTyped(model, field, text);
    void keepDraft(draft, model.typed);
    redraw();
  };
  const save = async () => {
    if (model.busy || !isSound(model, problemsOf(model.typed), redraw)) return;
    const work = async () => {
      const lens = lensInEye((await openCasefile(id)).fold.eyes[eye]);
      if (!lens) {
        model.trouble = "No lens is on record for this eye now.";
        return;
      }
      const body = contactBody(model.typed, lens.id);
      await keepRecord({ kind: CONTACT, person: id, eye, site: person?.site, body }, { draft });
      await dropDraft(draft);
      go(`#/person/${id}`);
    };
    await keepForm(model, work, redraw);
  };
  const page = openPage(root, () => {
    if (!person) return html`<main>${emptyLine("This person is not on this phone.")}</main>`;
    const back = { href: `#/person/${id}`, label: person.name };
    const asking = { kind: CONTACT, typed: model.typed, problems: model.problems, type };
    return html`${pageHead({ title: `Call for a visit, ${eyeWord(eye).toLowerCase()}`, name: person.name, back })}
      ${personLine(person)} ${strips()} ${eyeBand({ eye })}
      <main><form class="form gap-top" novalidate @submit=${(/** @type {SubmitEvent} */ event) => {
        event.preventDefault();
        void save();
      }}>
        ${errorList(model.problems)} ${model.trouble ? notKeptLine(model.trouble) : nothing}
        ${sectionHead("Call for a visit")}
        ${person.phone ? html`<p class="notice">Telephone <a class="link" href="tel:${person.phone}">${person.phone}</a></p>` : html`<p class="t-small soft">No telephone number is on record.</p>`}
        ${fields(asking)}
        <div class="dock"><button type="submit" class="btn main wide" aria-disabled=${model.busy}>Keep the call</button></div>
      </form></main>`;
  });
  return page.stop;
}

/** @param {Asking} asking */
const fields = (asking) => html`${choiceAsked(asking, "how", [], "one")} ${choiceAsked(asking, "reached", [], "one")}
  ${asking.typed["reached"] === "yes" ? dayAsked(asking) : nothing}
  ${textAsked(asking, "text", { maxChars: 500, isLong: true })}`;
