/**
 * The surgeon's question to the camp, and the camp's answer.
 *
 * @import { Model } from "./plan.js"
 */
import { html } from "lit-html";
import { keepRecord } from "../store/journal.js";
import { eyeWord } from "../ui/eyes.js";
import { textField } from "../ui/form.js";
import { icon } from "../ui/icons.js";
import { moment } from "../ui/moments.js";
import { keepForm } from "./form_keep.js";

/**
 * Return the question with the field for its answer.
 *
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
 * Keep the camp's answer, and say on the page that it goes.
 *
 * @param {Model} model
 * @param {{ id: string }} question
 * @param {() => void} redraw
 */
export async function answerQuestion(model, question, redraw) {
  const text = model.answer.trim().normalize("NFC");
  if (text === "" || model.busy) return;
  model.trouble = null;
  const keep = async () => {
    const { id: person, eye } = model;
    const body = { question: question.id, text };
    const site = model.person?.site;
    const { payload } = await keepRecord({ kind: "plan.answer", person, eye, site, body });
    model.answer = "";
    const sentence = `${eyeWord(eye)}: your answer goes to the surgeon.`;
    model.kept = { instant: payload.wall, sentence };
  };
  await keepForm(model, keep, redraw);
}
