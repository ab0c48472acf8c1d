/**
 * The surgeon's question to the camp, and the camp's answer.
 *
 * @import { Model } from "./plan.js"
 */
import { html } from "lit-html";
import { keepRecord, NotKept } from "../store/journal.js";
import { eyeWord } from "../ui/eyes.js";
import { textField } from "../ui/form.js";
import { icon } from "../ui/icons.js";
import { moment } from "../ui/moments.js";

/**
 * @param {Model} model
 * @param {{ text: string, wall: string }} question
 * @param {() => void} answer
 * @param {() => void} redraw
 */
export function questionView(model, question, answer, redraw) {
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    answer();
  };
  return html`<div class="finding caution gap-top">
    ${icon("question")}
    <div class="title"><span class="level">Surgeon asks</span>, ${moment(question.wall)}</div>
    <p>${question.text}</p>
    <form class="stack" @submit=${submit} novalidate>
      ${textField({
        id: "answer",
        label: "Your answer",
        value: model.answer,
        isLong: true,
        maxChars: 500,
        onInput: (text) => {
          model.answer = text;
          redraw();
        },
      })}
      <button type="submit" class="btn" aria-disabled=${model.answer.trim() === ""}>
        ${model.answer.trim() === "" ? "Type the answer first" : "Keep the answer"}
      </button>
    </form>
  </div>`;
}

/**
 * @param {Model} model
 * @param {{ id: string }} question
 * @param {() => void} redraw
 */
export async function answerQuestion(model, question, redraw) {
  const text = model.answer.trim().normalize("NFC");
  if (text === "" || model.busy) return;
  Object.assign(model, { busy: true, notKept: null });
  try {
    const { id: person, eye } = model;
    const body = { question: question.id, text };
    const { payload } = await keepRecord({
      kind: "plan.answer",
      person,
      eye,
      site: model.person?.site,
      body,
    });
    model.answer = "";
    model.kept = {
      instant: payload.wall,
      sentence: `${eyeWord(eye)}: your answer goes to the surgeon.`,
    };
  } catch (error) {
    if (!(error instanceof NotKept)) throw error;
    model.notKept = error.message;
  } finally {
    model.busy = false;
    redraw();
  }
}
