/**
 * A phone that nobody can unlock, or that is given up: its outbox as a file for the base, then erased.
 *
 * Nothing is erased while something waits that was not saved as a file in this very visit.
 *
 * @import { Place } from "../main.js"
 * @import { OutboxFile } from "../store/export.js"
 */
import { html, nothing } from "lit-html";
import { countDrafts } from "../store/drafts.js";
import { eraseEverything } from "../store/erase.js";
import { outboxFile } from "../store/export.js";
import { counts } from "../store/outbox.js";
import { heldKeys } from "../store/vault.js";
import { textField } from "../ui/form.js";
import { pageHead, sectionHead } from "../ui/page.js";
import { count } from "../ui/words.js";
import { go, openPage, strips } from "./frame.js";

const ERASE = "erase";
/** How long the file stays readable for the browser that saves it. */
const KEPT_MS = 60_000;
const NO_KEY =
  "The base had no recovery key when this phone was first locked, so nobody could open such a file. " +
  "Somebody who works on this phone has to unlock it and send.";

/**
 * @typedef {object} Model
 * @property {number} held records that the base has not got
 * @property {number} drafts
 * @property {OutboxFile | null} file
 * @property {boolean} isSaved
 * @property {string} typed
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root }) {
  const { waiting, refused } = await counts();
  /** @type {Model} */
  const model = {
    held: waiting + refused,
    drafts: await countDrafts(),
    file: await outboxFile(),
    isSaved: false,
    typed: "",
  };
  const page = openPage(root, () => view(model, change));
  /** @param {Partial<Model>} part */
  function change(part) {
    Object.assign(model, part);
    page.redraw();
  }
  return page.stop;
}

/**
 * @param {Model} model
 * @param {(part: Partial<Model>) => void} change
 */
function view(model, change) {
  const back = heldKeys() ? { href: "#/me", label: "Me" } : { href: "#/sign-in", label: "Who is working?" };
  return html`${pageHead({ title: "Outbox as a file", back })} ${strips()}
    <main>
      <p class="notice">What is kept here is encrypted. Somebody who works on this phone can let others
        in: that is the better way. What stands below is for a phone that nobody can unlock, or that
        is given up.</p>
      ${sectionHead("1. The outbox, as a file")} ${fileView(model, change)}
      ${sectionHead("2. Erase this phone's store")} ${eraseView(model, change)}
    </main>`;
}

/**
 * @param {Model} model
 * @param {(part: Partial<Model>) => void} change
 */
function fileView({ held, file, isSaved }, change) {
  if (!file) return html`<p class="notice" role="alert">${NO_KEY}</p>`;
  return html`<p>${count(held, "record")} of this phone ${held === 1 ? "is" : "are"} not at the base.
      The file stays encrypted: only the hospital's recovery key
      <code>${file.recovery.name.slice(0, 12)}</code> opens it. Take it to the base hospital.</p>
    <button type="button" class="btn full" @click=${() => {
      saveAs(file);
      change({ isSaved: true });
    }}>Save the outbox as a file</button>
    ${isSaved ? html`<p class="notice" role="status">Look whether the file is there before you erase
      anything.</p>` : nothing}`;
}

/**
 * @param {Model} model
 * @param {(part: Partial<Model>) => void} change
 */
function eraseView({ held, drafts, isSaved, typed }, change) {
  if (held > 0 && !isSaved) {
    return html`<p>Only after the file is saved: ${count(held, "record")} would be lost.</p>`;
  }
  const isMeant = typed.trim().toLowerCase() === ERASE;
  const lost = drafts > 0 ? ` ${count(drafts, "draft")}, typed and not saved, will be lost.` : "";
  return html`<p>Everything of Lampside in this browser is deleted, keys included.${lost} Whoever works
      here then signs in with the network, as on a new phone.</p>
    ${textField({
      id: "erase",
      label: `Type ${ERASE} to erase`,
      value: typed,
      autocomplete: "off",
      onInput: (text) => change({ typed: text }),
    })}
    <button type="button" class="btn full" aria-disabled=${!isMeant}
      @click=${() => isMeant && void eraseEverything().then(() => go("#/sign-in"))}>
      Erase this phone's store</button>`;
}

/** @param {OutboxFile} file */
function saveAs(file) {
  const blob = new Blob([JSON.stringify(file)], { type: "application/json" });
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = `lampside-outbox-${file.made.slice(0, 10)}.json`;
  link.click();
  // Some browsers read it only after this turn.
  setTimeout(() => URL.revokeObjectURL(link.href), KEPT_MS);
}
