/**
 * The box: scanned, or read by two people of whom the second does not see what the first read; then
 * beside the order, with the lens as it will lie.
 *
 * @import { Acts } from "./theatre_eye.js"
 * @import { Model } from "./theatre_model.js"
 */
import { html, nothing } from "lit-html";
import { live } from "lit-html/directives/live.js";
import { BadRecord } from "../records/errors.js";
import { Keys } from "../scan/came_from.js";
import { axisDial, SEATS } from "../ui/axis_dial.js";
import { eyeWord } from "../ui/eyes.js";
import { choiceField, textField } from "../ui/form.js";
import { icon } from "../ui/icons.js";
import { sectionHead } from "../ui/page.js";
import { fieldOf } from "../ui/quantities.js";
import { written } from "./question_fields.js";
import { CHECKED, incisionOf, noBox, traceOf } from "./theatre_model.js";
import { rowsTable } from "./theatre_rows.js";
import { verdictBlock, verdictIn } from "./theatre_sheet.js";
import { endButton } from "./theatre_stop.js";

/** @type {[string, string, string][]} */
const TRACE = [
  ["lot", "Lot", "text"],
  ["serial", "Serial number", "text"],
  ["expiry_date", "Use by", "date"],
];

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function boxStep(model, acts) {
  const { answer, eye, same } = model;
  const { box } = answer;
  const isRead = isBoxRead(model);
  const open = isRead ? null : model.byReading ? "Read the box first" : "Scan the box first";
  return html`${scanSection(model, acts)}
    ${box && isShown(model) ? html`${sectionHead("The box beside the order")} ${rowsTable(box.rows, eye)}` : nothing}
    ${isRead && same === null ? html`<p class="gap-top">Now look at the box in your hand. It must say</p>
      <p class="sentence">${answer.lens.text}</p>
      <p><button type="button" class="link" @click=${() => acts.look({ same: 0 })}>It says something else</button></p>` : nothing}
    ${lensSection(model, acts)}
    ${incisionField(model, acts)}
    ${cautionList(answer)}
    <div class="dock">${endButton(acts)}
      <button type="button" class="btn main wide" aria-disabled=${open !== null || model.busy || Boolean(model.incisionProblem)}
        @click=${() => (open || model.incisionProblem ? undefined : acts.keepCheck())}>${model.incisionProblem
          ? "Correct the meridian first" : open ?? `The box says the same: keep the check, ${eyeWord(eye).toLowerCase()}`}</button>
    </div>`;
}

const cable = new Keys();

/**
 * Return what comes of the cable's field: a code that was typed proves nothing of this box.
 *
 * @param {string} text
 */
function fromCable(text) {
  const code = written(text);
  const isTyped = code !== null && cable.source(text) === "keys";
  return isTyped ? { code: null, codeProblem: "That was typed, not read off this box." } : { code, codeProblem: null };
}

/**
 * Say whether the box was read as far as it must be before its print is looked at.
 *
 * @param {Model} model
 */
export function isBoxRead({ answer }) {
  const { rows } = answer.box ?? { rows: [] };
  return rows.length > 0 && rows.every((/** @type {any} */ { field, outcome }) => field === "printed_same" || outcome === "agrees");
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function scanSection(model, acts) {
  if (model.byReading) return readSection(model, acts);
  const { isScanning, scanSaid, code, codeProblem } = model;
  return html`${sectionHead("The box", code ? "scanned" : "scan its GS1 code; the sheet may come before or after")}
    <button type="button" class="btn ${code ? "" : "main"} full" @click=${acts.scan}>${isScanning ? "Stop the camera"
      : code ? "Scan again" : "Scan the box"}</button>
    <video id="scan-view" class="scan-view" muted playsinline ?hidden=${!isScanning}></video>
    <p class="t-small" role="status">${scanSaid}</p>
    ${model.answer.sheet ? html`<div class="stack"><p class="t-small soft">The printed sheet</p>${verdictBlock(verdictIn(model.answer.sheet))}</div>` : nothing}
    ${codeProblem ? html`<p class="field-error" role="alert">${icon("caution")}<span>${codeProblem} Scan it again, or read the box.</span></p>` : nothing}
    <details class="more-findings"><summary>No camera, or no code that can be read</summary><div class="stack">
      <label for="scan-picture">A picture of the code</label>
      <input id="scan-picture" class="scan-picture" type="file" accept="image/*" @change=${(/** @type {any} */ event) =>
        acts.picture(event.target.files?.[0])} />
      <div class="field"><label for="code">By a reader at the cable</label>
        <input id="code" autocomplete="off" autocapitalize="off" spellcheck="false" .value=${live(code ?? "")}
          @keydown=${(/** @type {KeyboardEvent} */ event) => cable.note(event)}
          @input=${(/** @type {any} */ event) => cable.source(event.target.value)}
          @change=${(/** @type {any} */ event) => acts.look(fromCable(event.target.value))} /></div>
      <button type="button" class="btn full" @click=${() => acts.look({ ...noBox(), byReading: true })}>Two people read the box instead</button>
    </div></details>`;
}

/**
 * Two people, one after the other; what the first read is not shown to the second.
 *
 * @param {Model} model
 * @param {Acts} acts
 */
function readSection(model, acts) {
  const { isFirstRead, first, again } = model;
  const who = isFirstRead ? "again" : "first";
  const typed = isFirstRead ? again : first;
  const isWhole = traceOf(typed) !== null;
  const next = () => (isFirstRead ? acts.look({}) : acts.look({ isFirstRead: true }));
  return html`${sectionHead(isFirstRead ? "The second person reads the box" : "The first person reads the box",
      isFirstRead ? "without having seen the first reading" : "then the second one reads it")}
    ${TRACE.map(([name, label, type]) => textField({
      ...{ id: `${who}-${name}`, label, type, value: typed[name] ?? "", maxChars: 60 },
      hint: name === "serial" ? "Letter by letter, as printed" : undefined,
      onInput: (text) => acts.change({ [who]: { ...typed, [name]: text } }),
    }))}
    ${isFirstRead && isWhole && !isCompared(model) ? html`<button type="button" class="btn main full" @click=${next}>Compare both readings</button>` : nothing}
    ${isFirstRead ? nothing : html`<button type="button" class="btn main full" aria-disabled=${!isWhole}
      @click=${() => (isWhole ? next() : undefined)}>${isWhole ? "Hide it, hand it to the second person" : "Lot, serial number and date first"}</button>`}
    <button type="button" class="btn quiet full" @click=${() => acts.look(noBox())}>Scan the code instead</button>`;
}

/**
 * Say whether the released box may be shown beside this one: not to somebody who is to read it
 * without knowing what it should say.
 *
 * @param {Model} model
 */
const isShown = (model) => !model.byReading || isCompared(model);

/** @param {Model} model */
function isCompared({ answer, again }) {
  const serial = answer.box?.rows.find((/** @type {any} */ row) => row.field === "serial");
  return serial?.second !== null && serial?.second === written(again["serial"]);
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function lensSection({ answer, eye, seat }, acts) {
  const view = answer.views?.find((/** @type {any} */ one) => one.seat === seat);
  return html`${sectionHead("How the lens will lie")}
    ${choiceField({
      ...{ id: "seat", label: "The surgeon sits", choices: SEATS, value: seat },
      onChoose: (chosen) => acts.change({ seat: /** @type {any} */ (chosen) }),
    })}
    ${view ? axisDial({ eye, view, axisDeg: answer.lens.axis_deg }) : nothing}`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function incisionField(model, acts) {
  const { label } = fieldOf(CHECKED, "incision_meridian_deg");
  return textField({
    ...{ id: "incision", label: `${label}, if it is decided (°)`, value: model.incision, inputmode: "numeric", maxChars: 3 },
    error: model.incisionProblem,
    onInput: (incision) => acts.look({ incision, incisionProblem: problemOfIncision(incision) }),
  });
}

/** @param {string} incision */
function problemOfIncision(incision) {
  try {
    incisionOf({ incision });
    return null;
  } catch (error) {
    if (!(error instanceof BadRecord)) throw error;
    return error.message;
  }
}

/** @param {any} answer */
export function cautionList({ cautions, first }) {
  return html`${sectionHead("Before and after")}
    <ul class="theatre-cautions">${cautions.map((/** @type {any} */ { text }) => html`<li>${icon("caution")}<span>${text}</span></li>`)}</ul>
    <p class="t-small soft">${first}</p>`;
}
