/**
 * Show the working: how the plan of one eye was calculated, step by step, for review and teaching.
 *
 * @import { Place } from "../main.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Casefile } from "./casefile.js"
 * @import { Eye } from "../ui/eyes.js"
 */
import { html, nothing } from "lit-html";
import { callCore, CoreFailed, coreStatus } from "../core/runtime.js";
import { isSurgeon } from "../store/identity.js";
import { personHere } from "../store/people.js";
import { eyeBand, eyeOf, eyeWord, otherEye } from "../ui/eyes.js";
import { today } from "../ui/moments.js";
import { boundFooter, pageHead, personLine } from "../ui/page.js";
import { coreNotice, emptyLine, waitingLine } from "../ui/waiting.js";
import { comparatorsFolded, workingSteps } from "../ui/working_steps.js";
import { openCasefile } from "./casefile.js";
import { openPageOf, strips } from "./frame.js";
import { wishesFrom } from "./working_link.js";

/**
 * @typedef {object} Model
 * @property {string} id
 * @property {Eye} eye
 * @property {PersonRow | null} person
 * @property {Casefile | null} casefile
 * @property {import("./working_link.js").Wishes} wishes the lens in view and what is aimed at
 * @property {any} working
 * @property {string} back the page it was opened from
 * @property {string | null} trouble
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params: [id = "", eyeParam, asked], identity }) {
  const eye = eyeOf(eyeParam);
  const back = isSurgeon(identity) ? `#/case/${id}/${eye}` : `#/plan/${id}/${eye}`;
  /** @type {Model} */
  const model = {
    ...{ id, eye, person: await personHere(id), casefile: null, wishes: wishesFrom(asked) },
    ...{ working: null, back, trouble: null },
  };
  return openPageOf(root, id, () => view(model), () => calculate(model)).stop;
}

/** @param {Model} model */
async function calculate(model) {
  try {
    model.casefile = await openCasefile(model.id);
    model.working = await workingOf(model.casefile, model.eye, model.wishes);
    model.trouble = null;
  } catch (error) {
    model.trouble = /** @type {Error} */ (error).message;
  }
}

/**
 * @param {Casefile} casefile
 * @param {Eye} eye
 * @param {Model["wishes"]} wishes
 * @throws {CoreFailed} the calculation cannot be used
 */
async function workingOf({ entries, reference }, eye, wishes) {
  const core = coreStatus().sha256;
  const asked = { do: "working", entries, reference, eye, today: today(), core, choice: null };
  const answer = await callCore({ ...asked, ...wishes });
  if (answer.error) throw new CoreFailed(answer.error.message);
  return answer;
}

/** @param {Model} model */
function view(model) {
  const { person, eye, id, working, trouble, back } = model;
  if (!person) return html`<main>${emptyLine("This person is not on this phone.")}</main>`;
  const title = `${eyeWord(eye)}, the working`;
  const label = back.startsWith("#/case") ? "Case" : "Plan";
  return html`${pageHead({ title, name: person.name, back: { href: back, label } })} ${personLine(person)} ${strips()}
    ${eyeBand({ eye, otherHref: `#/working/${id}/${otherEye(eye)}`, note: noteOf(working) })}
    <main>
      ${trouble ? html`${coreNotice(coreStatus())}${waitingLine(trouble)}` : nothing}
      ${working ? stepsOf(model) : nothing}
      ${!working && !trouble ? waitingLine("Working it out, about 1 second.") : nothing}
    </main>`;
}

/** @param {any} working */
const noteOf = (working) => (working ? `The working, ${working.steps.length} steps` : nothing);

/** @param {Model} model */
function stepsOf({ working, casefile }) {
  if (working.steps.length === 0) return emptyLine(working.why);
  const { catalogue, limits } = casefile?.reference ?? {};
  return html`<p class="read-back">${working.sentence}</p>
    ${workingSteps(working.steps)} ${comparatorsFolded(working.comparators)}
    ${boundFooter({
      core: coreStatus().sha256,
      catalogueTitle: catalogue?.body.title ?? "none yet",
      limitsTitle: limits?.body.title ?? "none yet",
      isDemo: catalogue?.body.demo === 1,
    })}
    <div class="dock"><button type="button" class="btn wide" @click=${() => print()}>Print</button></div>`;
}
