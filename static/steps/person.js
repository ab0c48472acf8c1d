/**
 * One person, two eyes: what stands, what is missing, what disagrees; each half row leads to its
 * reading.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Casefile } from "./casefile.js"
 * @import { Alike } from "./same_person.js"
 * @import { Eye } from "../ui/eyes.js"
 */
import { html, nothing } from "lit-html";
import { coreStatus } from "../core/runtime.js";
import { openDrafts } from "../store/drafts.js";
import { onChange } from "../store/journal.js";
import { isSurgeon } from "../store/identity.js";
import { personHere } from "../store/people.js";
import { eyeTitle, EYES } from "../ui/eyes.js";
import { findingList } from "../ui/findings.js";
import { notKeptLine } from "../ui/kept_line.js";
import { pageHead, personLine } from "../ui/page.js";
import { isFurther, QUANTITIES } from "../ui/quantities.js";
import { stateWords } from "../ui/states.js";
import { coreNotice, emptyLine, waitingLine } from "../ui/waiting.js";
import { atBaseSection } from "./at_base.js";
import { afterSurgery } from "./after_surgery.js";
import { answersSection } from "./answers_sentence.js";
import { bothEyes } from "./both_eyes.js";
import { isBegun } from "./capture_model.js";
import { healthSection } from "./health_sentence.js";
import { openCasefile } from "./casefile.js";
import { openPage, siteTitle, strips, together } from "./frame.js";
import { quantityPair } from "./person_rows.js";
import { alikeHere, alikeSection, joinedSection, saySame } from "./same_person.js";
import { sendButton } from "./send_button.js";

/**
 * @typedef {object} Model
 * @property {Identity} identity
 * @property {PersonRow | null} row
 * @property {Set<string>} begun keys of what is typed and not kept
 * @property {Casefile | null} casefile
 * @property {Alike[]} alike who may be the same person
 * @property {string | null} trouble
 * @property {{ isBusy: boolean, error: string | null }} fetching
 * @property {string | null} refused why an answer was not kept
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params: [id = ""], identity }) {
  const [row, begun] = await Promise.all([personHere(id), begunHere()]);
  /** @type {Model} */
  const model = {
    ...{ identity, row, begun, casefile: null, alike: [], trouble: null, refused: null },
    fetching: { isBusy: false, error: null },
  };
  const page = openPage(root, () => view(model, { same, redraw: () => page.redraw() }));
  /** @param {string} other */
  function same(other) {
    saySame(/** @type {PersonRow} */ (model.row), other).catch((/** @type {Error} */ error) => {
      model.refused = error.message;
      page.redraw();
    });
  }
  const refresh = async () => {
    model.row = await personHere(id);
    if (model.row) model.alike = await alikeHere(model.row, identity);
    try {
      model.casefile = await openCasefile(id);
      model.trouble = null;
    } catch (error) {
      model.trouble = /** @type {Error} */ (error).message;
    }
    page.redraw();
  };
  const stopStore = onChange(({ persons, why }) => {
    if (persons.includes(id) || why === "page") void refresh();
  });
  void refresh();
  return together([page.stop, stopStore]);
}

/** Return the keys of everything typed and not kept. */
async function begunHere() {
  return new Set((await openDrafts()).filter(({ value }) => isBegun(value)).map(({ key }) => key));
}

/**
 * @param {Model} model
 * @param {{ same: (other: string) => void, redraw: () => void }} acts
 */
function view(model, { same, redraw }) {
  const { identity, row, begun, casefile, alike, trouble, refused, fetching } = model;
  const back = {
    href: "#/people",
    label: identity.site ? siteTitle(identity, identity.site) : "People",
  };
  if (!row) {
    return html`${pageHead({ title: "Not here", back })} ${strips()}
      <main>${emptyLine("This person is not on this phone. Their records come when the base is heard.")}</main>`;
  }
  if (row.atBase) {
    return html`${pageHead({ title: "", name: row.name, back })} ${personLine(row)} ${strips()}
      <main>${atBaseSection(row, fetching, redraw)}</main>`;
  }
  const eyes = casefile?.fold.eyes;
  return html`${pageHead({ title: "", name: row.name, back })} ${personLine(row)} ${strips()}
    <section class="pair head"
      aria-label="Both eyes">${EYES.map((eye) => eyeTitle(eye, eyeNote(eyes?.[eye])))}</section>
    <main>
      ${trouble ? coreNotice({ ...coreStatus(), why: coreStatus().why ?? trouble }) : nothing}
      ${casefile ? joinedSection(casefile) : nothing}
      ${alikeSection(alike, identity, same)} ${refused ? notKeptLine(refused) : nothing}
      ${casefile ? html`<div
        class="gap-top">${findingList(bothEyes(eyes), { foldNotes: true })}</div>` : waiting(trouble)}
      ${casefile ? afterSurgery(row.id, eyes, identity.user.id, isSurgeon(identity)) : nothing}
      ${casefile ? readings(row.id, eyes, begun) : nothing}
      ${casefile ? answersSection(row.id, casefile.fold.history) : nothing}
      ${casefile ? healthSection(row.id, casefile.fold.health) : nothing}
      <p class="t-small gap-top"><a class="link" href="#/person/${row.id}/registration">Correct the
        registration</a></p>
      ${casefile ? html`<div
        class="dock eyes">${EYES.map((eye) => sendButton(row.id, eye, eyes[eye]))}</div>` : nothing}
    </main>`;
}

/** @param {string | null} trouble */
const waiting = (trouble) =>
  trouble ? waitingLine(trouble) : waitingLine("Putting the readings together, about 1 second.");

/**
 * @param {string} id
 * @param {Record<Eye, any>} eyes
 * @param {Set<string>} begun
 */
function readings(id, eyes, begun) {
  const further = QUANTITIES.filter(isFurther);
  const taken = EYES.flatMap((eye) => eyes[eye].readings).filter(({ kind }) => isFurther(kind));
  return html`<div class="pair" role="group" aria-label="Readings, right eye on the left">
      ${QUANTITIES.filter((kind) => !isFurther(kind)).map((kind) => quantityPair(id, kind, eyes, begun))}
    </div>
    <details class="more-findings"><summary>More readings, if you can${
      taken.length > 0 ? ` (${taken.length} taken)` : ""}</summary>
      <div class="pair" role="group" aria-label="More readings, right eye on the left">
        ${further.map((kind) => quantityPair(id, kind, eyes, begun))}
      </div>
    </details>`;
}

/** @param {any} eye */
function eyeNote(eye) {
  if (!eye) return "";
  const isMeasured = eye.state === "ready" || eye.state === "measuring";
  if (eye.missing.length > 0 && eye.surgeries.length === 0) return `${eye.missing.length} to do`;
  return isMeasured ? "complete" : stateWords(eye.state);
}
