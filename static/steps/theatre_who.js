/**
 * Before the box: who lies here by their own words, which eye is marked, who else confirms, and
 * where the surgeon sits.
 *
 * @import { Acts } from "./theatre_eye.js"
 * @import { Model } from "./theatre_model.js"
 */
import { html, nothing } from "lit-html";
import { SEATS } from "../ui/axis_dial.js";
import { EYES, eyeMark, eyeName, eyeSide, eyeWord } from "../ui/eyes.js";
import { choiceField } from "../ui/form.js";
import { icon } from "../ui/icons.js";
import { sectionHead } from "../ui/page.js";
import { missingWho } from "./theatre_model.js";
import { saidList } from "./theatre_said.js";
import { endButton } from "./theatre_stop.js";

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function whoStep(model, acts) {
  const missing = missingWho(model);
  return html`${sectionHead("What the person says", "ask, wait for their answer, then compare")}
    ${saidList(model, acts)}
    ${sectionHead("The eye that is marked", "look at the mark")}
    <div class="theatre-eyes">${EYES.map((eye) => html`<button type="button" class="btn ${eyeSide(eye)}"
      aria-label=${eyeName(eye)} aria-pressed=${model.marked === eye}
      @click=${() => acts.look({ marked: eye })}>${eyeMark(eye, { big: true })}<span>${eyeWord(eye)}</span>${model.marked === eye ? icon("tick") : nothing}</button>`)}</div>
    ${secondChoice(model, acts)}
    ${choiceField({
      ...{ id: "seat", label: "Where does the surgeon sit?", choices: SEATS, value: model.seat },
      onChoose: (seat) => acts.change({ seat: /** @type {any} */ (seat) }),
    })}
    <div class="dock">${endButton(acts)}
      <button type="button" class="btn main wide" aria-disabled=${missing !== null}
        @click=${() => (missing ? undefined : acts.change({ step: "box" }))}>${missing ?? `To the box, ${eyeWord(model.eye).toLowerCase()}`}</button>
    </div>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function secondChoice({ others, second }, acts) {
  const able = others.filter(({ locked }) => !locked);
  if (able.length === 0) {
    return html`<p class="notice">Nobody else who may confirm works on this device. The second person
      <a class="strong" href="#/sign-in/online">signs in once with the network</a>, and you let them in.</p>`;
  }
  return choiceField({
    ...{ id: "second", label: "The second person, who confirms", choices: able.map(({ id, name }) => [id, name]) },
    ...{ value: second, onChoose: (id) => acts.change({ second: id }) },
  });
}
