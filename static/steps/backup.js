/**
 * Two lenses of one eye: which is released, and the surgeon's word that the back-up is implanted
 * instead of the chosen one, signed with the passphrase; or that word taken back.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Eye } from "../ui/eyes.js"
 * @typedef {object} Model
 * @property {string} id the person
 * @property {Eye} eye
 * @property {PersonRow | null} person
 * @property {Identity} identity
 * @property {Map<string, string>} names
 * @property {any} fold of the eye, null until it came
 * @property {string | null} check of the chosen lens that was named
 * @property {string} reason
 * @property {string} passphrase
 * @property {string | null} trouble
 * @property {string | null} kept
 * @property {boolean} busy
 */
import { html, nothing } from "lit-html";
import { CoreFailed } from "../core/runtime.js";
import { isSurgeon } from "../store/identity.js";
import { keepRecord, NotKept } from "../store/journal.js";
import { namesOfUsers } from "../store/keys.js";
import { personHere } from "../store/people.js";
import { checkPassphrase } from "../store/unlock.js";
import { eyeBand, eyeOf, eyeWord } from "../ui/eyes.js";
import { choiceField, textField } from "../ui/form.js";
import { notKeptLine } from "../ui/kept_line.js";
import { moment } from "../ui/moments.js";
import { identifiers, pageHead, sectionHead } from "../ui/page.js";
import { emptyLine, waitingLine } from "../ui/waiting.js";
import { missingIn, wordOf } from "./backup_word.js";
import { reasonIn } from "./case_gate.js";
import { openCasefile } from "./casefile.js";
import { openPageOf, strips } from "./frame.js";

const MAX_CHARS = 500;

/**
 * @typedef {{ change: (part: Partial<Model>) => void, sign: () => void }} Acts
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params: [id = "", eyeParam], identity }) {
  const eye = eyeOf(eyeParam);
  /** @type {Model} */
  const model = {
    ...{ id, eye, identity, person: await personHere(id), names: await namesOfUsers(), fold: null, check: null },
    ...{ reason: "", passphrase: "", trouble: null, kept: null, busy: false },
  };
  const acts = {
    change(/** @type {Partial<Model>} */ part) {
      Object.assign(model, part);
      page.redraw();
    },
    sign: () => void sign(model, acts),
  };
  const page = openPageOf(root, id, () => view(model, acts), () => load(model));
  return page.stop;
}

/** @param {Model} model */
async function load(model) {
  try {
    model.fold = model.person ? (await openCasefile(model.id)).fold.eyes[model.eye] : null;
  } catch (error) {
    if (!(error instanceof CoreFailed)) throw error;
    model.trouble = error.message;
  }
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
async function sign(model, acts) {
  if (model.busy || missingIn(model)) return;
  // Bound before the passphrase is checked: what is signed is what stood here when it was typed.
  const word = wordOf(model);
  const reason = reasonIn(model.reason);
  acts.change({ busy: true, trouble: null });
  try {
    const { ok, why } = await checkPassphrase(model.passphrase);
    if (ok) await keepWord(model, word, reason);
    else Object.assign(model, { passphrase: "", trouble: why });
  } catch (error) {
    if (!(error instanceof NotKept)) throw error;
    model.trouble = error.message;
  } finally {
    acts.change({ busy: false });
  }
}

/**
 * @param {Model} model
 * @param {{ kind: string, body: object }} word
 * @param {string | null} reason
 */
async function keepWord(model, word, reason) {
  const { id: person, eye } = model;
  await keepRecord({ ...word, person, eye, site: model.person?.site, reason });
  Object.assign(model, { check: null, reason: "", passphrase: "" });
  model.kept = word.kind === "backup.released"
    ? "Kept. The back-up lens is released and the chosen one is not; the base hears it at the next exchange."
    : "Kept. Your word is taken back; the chosen lens is as it was before.";
  scrollTo(0, 0);
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function view(model, acts) {
  const { id, person, eye, fold, trouble, kept } = model;
  if (!person) return html`<main>${emptyLine("This person is not on this device.")}</main>`;
  return html`${pageHead({ title: "Two lenses for one eye", name: person.name, back: { href: `#/theatre/${id}/${eye}`, label: "Check in theatre" } })} ${strips()}
    ${eyeBand({ eye, note: html`<span class="strong">${person.name}</span> · ${identifiers(person)}` })}
    <main class="theatre"><h2 class="visually-hidden">Two lenses for one eye</h2>
      ${kept ? html`<p class="notice strong" role="status">${kept}</p>` : nothing}
      ${trouble ? notKeptLine(trouble) : nothing}
      ${fold ? found(model, acts) : waitingLine("Putting the records together, about 1 second.")}
    </main>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function found(model, acts) {
  const { backup } = model.fold;
  if (!backup) return emptyLine("No back-up lens is ordered for this eye, or its order ended.");
  return html`<p class="sentence">${backup.sentence}</p>
    ${lensLines("Chosen lens", backup.chosen, backup.chosen_text, backup.chosen_box)}
    ${lensLines("Back-up lens", backup.order, backup.text, backup.box)}
    ${releasedLines(model)} ${form(model, acts)}`;
}

/**
 * @param {string} title
 * @param {any} order
 * @param {string} text
 * @param {any} box
 */
function lensLines(title, order, text, box) {
  const last = box.checks.at(-1);
  return html`${sectionHead(title, `order ${order.number}`)}<p class="t-value">${text}</p>
    <p class="t-small">${order.progress.words} ${box.verified ? html`<span class="strong">Its box is released for theatre.</span>`
      : last ? `Its box was checked: ${last.outcome === "agrees" ? "it is the ordered lens" : "it differed"}. Not released for theatre.`
        : "Its box was not checked yet."}</p>`;
}

/** @param {Model} model */
function releasedLines({ fold, names }) {
  const { released } = fold.backup;
  return released ? html`<p class="t-small gap-top">${names.get(released.author) ?? "A colleague"}, ${moment(released.wall)}:</p>
    <p class="quoted">“${released.reason}”</p>` : nothing;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function form(model, acts) {
  const { eye, fold, identity, check, reason, passphrase, busy } = model;
  const { backup } = fold;
  const isOwn = backup.released?.author === identity.user.id;
  if (!isSurgeon(identity)) return html`<p class="gap-top">Only a surgeon releases the back-up lens, on the surgeon’s own device.</p>`;
  if (!backup.can_release && !isOwn) return html`<p class="gap-top">${backup.why_not}</p>`;
  const lack = missingIn(model);
  const button = isOwn ? "Take it back" : "Release the back-up lens";
  return html`<form class="stack gap-top" novalidate @submit=${(/** @type {SubmitEvent} */ event) => {
      event.preventDefault();
      acts.sign();
    }}>
    ${isOwn ? nothing : choiceField({
      ...{ id: "check", label: "By which check is the chosen lens not implanted?", columns: "one", value: check },
      choices: backup.checks.map((/** @type {any} */ { id, text, wall }) => [id, `${text} (${moment(wall)})`]),
      onChoose: (chosen) => acts.change({ check: chosen }),
    })}
    ${textField({
      ...{ id: "reason", label: isOwn ? "Why you take it back" : "Why the chosen lens is not implanted", value: reason },
      ...{ isLong: true, maxChars: MAX_CHARS, onInput: (text) => acts.change({ reason: text }) },
    })}
    ${textField({
      ...{ id: "passphrase", label: "Your passphrase, again", type: "password", autocomplete: "off", value: passphrase },
      onInput: (text) => acts.change({ passphrase: text }),
    })}
    <p class="t-micro soft">The chosen lens is then released no more, wherever this is heard first. You decide; the lens maker’s
      instructions and local rules come first.</p>
    <div class="dock"><button type="submit" class="btn main wide" aria-disabled=${lack !== null || busy}>${busy ? "Checking"
      : lack ?? `${button}, ${eyeWord(eye).toLowerCase()}`}</button></div>
  </form>`;
}
