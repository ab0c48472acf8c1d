/**
 * A stop in theatre: the wrong box, with what differs first and two ways out; and the end without
 * implanting, which is possible at every step.
 *
 * @import { Acts } from "./theatre_eye.js"
 * @import { Model } from "./theatre_model.js"
 */
import { html, nothing } from "lit-html";
import { eyeBand, eyeWord } from "../ui/eyes.js";
import { choiceField, textField } from "../ui/form.js";
import { icon } from "../ui/icons.js";
import { notKeptLine } from "../ui/kept_line.js";
import { pageHead } from "../ui/page.js";
import { choicesOf } from "../ui/quantities.js";
import { sheet } from "../ui/sheet.js";
import { count } from "../ui/words.js";
import { written } from "./question_fields.js";
import { strips } from "./frame.js";
import { CHECKED, isAnotherBox, noBox } from "./theatre_model.js";
import { rowsTable } from "./theatre_rows.js";
import { whoseNote } from "./theatre_said.js";

const ANOTHER = "The released box may still be here: put this one aside and fetch the right one.";
const OTHER_EYE = "This lens is for the other eye than the marked one. Look at the mark and at the consent again.";
const IN_DOUBT =
  "The released box itself is in doubt. The base desk checks it again; another lens needs a new approval by the surgeon, a back-up that was ordered the surgeon’s release.";

/** @param {Acts} acts */
export const endButton = (acts) => html`<button type="button" class="btn" @click=${() =>
  acts.change({ ending: { why: "", note: "" } })}>Do not implant</button>`;

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function stopPage(model, acts) {
  const { answer, person, eye, trouble, busy } = model;
  const { rows } = answer.box;
  const wrong = rows.filter((/** @type {any} */ row) => row.outcome === "differs");
  const again = isAnotherBox(answer.box);
  const isMarked = model.marked === eye;
  const lookAgain = () => acts.look({ ...noBox(), marked: null, step: "who" });
  return html`${pageHead({ title: "Stop in theatre", name: person?.name, back: null })} ${strips()}
    ${eyeBand({ eye, note: person ? whoseNote(person, { isAsked: false }) : nothing })}
    <main class="theatre"><div role="alertdialog" aria-labelledby="stop-title">
      <div class="theatre-stop">${icon("stop")}<div>
        <h2 id="stop-title" tabindex="-1">Stop. Not the lens for this eye.</h2>
        <p>${count(wrong.length, "field")} of ${rows.length} ${wrong.length === 1 ? "differs" : "differ"}. Do not open this box, do not implant it.</p>
      </div></div>
      ${trouble ? notKeptLine(trouble) : nothing}
      ${rowsTable([...wrong, ...rows.filter((/** @type {any} */ row) => row.outcome !== "differs")], eye)}
      <p class="gap-top strong">${waysOut(model, again)}</p>
      <p class="t-small soft gap-top">There is no way past this page with this box. What was scanned is kept with what you do now.</p></div>
      <div class="dock">
        <button type="button" class="btn ${again ? "" : "main wide"}" aria-disabled=${busy}
          @click=${() => acts.end("differs", { why: null, note: null })}>End without implanting, ${eyeWord(eye).toLowerCase()}</button>
        ${again ? html`<button type="button" class="btn main wide" aria-disabled=${busy} @click=${isMarked ? acts.putAside : lookAgain}>${isMarked
          ? "Put this box aside, look at another" : "Look at the mark on the eye again"}</button>` : nothing}
      </div>
    </main>`;
}

/**
 * @param {Model} model
 * @param {boolean} again whether another look, at another box or at the mark, may put it right
 */
function waysOut(model, again) {
  if (!again) return IN_DOUBT;
  return model.marked === model.eye ? ANOTHER : OTHER_EYE;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function endSheet(model, acts) {
  const { ending, eye, busy, trouble } = model;
  if (!ending) return nothing;
  const note = written(ending.note);
  const missing = !ending.why ? "Say why first" : note === null ? "Write it in a few words" : null;
  const close = () => acts.change({ ending: null });
  const body = html`${eyeBand({ eye })}
    <h2 class="t-title">Do not implant</h2>
    ${trouble ? notKeptLine(trouble) : nothing}
    ${choiceField({
      ...{ id: "why", label: "Why not?", choices: choicesOf(CHECKED, "why"), value: ending.why || null, columns: "one" },
      onChoose: (why) => acts.change({ ending: { ...ending, why } }),
    })}
    ${textField({
      ...{ id: "end-note", label: "In a few words", value: ending.note, isLong: true, maxChars: 400 },
      onInput: (text) => acts.change({ ending: { ...ending, note: text } }),
    })}
    <div class="btn-row">
      <button type="button" class="btn" @click=${close}>Go back</button>
      <button type="button" class="btn main" aria-disabled=${Boolean(missing) || busy} @click=${() =>
        missing ? undefined : acts.end("not_implanted", { why: ending.why, note })}>${missing ?? "End: do not implant"}</button>
    </div>`;
  return sheet({ label: `Do not implant, ${eyeWord(eye).toLowerCase()}`, body, onClose: close });
}
