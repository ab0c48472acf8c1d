/**
 * The second person, by their own passphrase and key; and what stands once both have confirmed.
 *
 * @import { Acts } from "./theatre_eye.js"
 * @import { Model } from "./theatre_model.js"
 */
import { html, nothing } from "lit-html";
import { eyeWord } from "../ui/eyes.js";
import { textField } from "../ui/form.js";
import { icon } from "../ui/icons.js";
import { clock } from "../ui/moments.js";
import { sectionHead } from "../ui/page.js";
import { sentenceOf } from "../ui/axis_dial.js";
import { cautionList, lensSection, scanSection } from "./theatre_box.js";
import { missingSecond } from "./theatre_model.js";
import { rowsTable } from "./theatre_rows.js";
import { endButton } from "./theatre_stop.js";
import { secondChoice } from "./theatre_who.js";

/** Where the second person's passphrase is given. */
export const FIELD = "second-passphrase";

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function secondStep(model, acts) {
  const { answer, eye, others, second, busy } = model;
  const name = others.find(({ id }) => id === second)?.name;
  const missing = missingSecond(model);
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    if (!missing) acts.confirm();
  };
  return html`<p class="answer gap-top">${icon("tick")}The box agrees, and the first check is kept.</p>
    ${lensSection(model, acts)}
    <form class="form" novalidate @submit=${submit}>
      ${sectionHead(name ? `${name} confirms` : "The second person confirms", "before the lens goes in")}
      ${secondChoice(model, acts)}
      ${tick("marks", "I have seen the marks of the lens, front side up.", model.seen, (seen) => acts.change({ seen }))}
      ${answer.lens.axis_deg === null ? nothing : tick("axis-said", axisWords(model), model.axisSaid, (axisSaid) => acts.change({ axisSaid }))}
      ${textField({
        ...{ id: FIELD, label: `Passphrase of ${name ?? "the second person"}`, type: "password" },
        ...{ value: model.passphrase, error: model.passphraseProblem, autocomplete: "off", onInput: (passphrase) => acts.change({ passphrase }) },
      })}
      <div class="dock">${endButton(acts)}
        <button type="submit" class="btn main wide" aria-disabled=${missing !== null || busy}>${missing ?? `Confirm as ${name}, ${eyeWord(eye).toLowerCase()}`}</button>
      </div>
    </form>`;
}

/** @param {Model} model */
function axisWords({ answer, seat }) {
  const view = answer.views.find((/** @type {any} */ one) => one.seat === seat);
  return `The axis was said aloud. ${view ? sentenceOf(view, answer.lens.axis_deg) : ""}`;
}

/**
 * @param {string} id
 * @param {string} words
 * @param {boolean} isOn
 * @param {(isOn: boolean) => void} onChange
 */
function tick(id, words, isOn, onChange) {
  return html`<label class="choice theatre-tick"><input type="checkbox" id=${id} .checked=${isOn}
    @change=${(/** @type {any} */ event) => onChange(event.target.checked)} /><span>${words}</span></label>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function doneStep(model, acts) {
  const { answer, id, eye, code, rescanned } = model;
  const { check, confirmed } = answer.theatre;
  return html`<p class="answer gap-top">${icon("tick")}Checked by two people, ${clock(check.wall)} and ${clock(confirmed.wall)}.</p>
    <p class="t-small soft">Scan the box once more before the lens is loaded: nothing is recorded unless it differs.</p>
    ${scanSection(model, acts)}
    ${code && rescanned ? html`<p class="answer" role="status">${icon("tick")}The same box, ${clock(rescanned)}.</p>
      ${rowsTable(answer.box.rows, eye)}` : nothing}
    ${lensSection(model, acts)}
    ${cautionList(answer)}
    <div class="dock">${endButton(acts)}
      <a class="btn main wide" href="#/surgery/${id}/${eye}">After surgery: record it, ${eyeWord(eye).toLowerCase()}</a>
    </div>`;
}
