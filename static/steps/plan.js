/**
 * The plan as the optometrist needs it: can this eye go to the surgeon, and if not, why not.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 * @import { PersonRow } from "../store/people.js"
 * @import { Casefile } from "./casefile.js"
 * @import { Eye } from "../ui/eyes.js"
 */
import { html, nothing } from "lit-html";
import { coreStatus } from "../core/runtime.js";
import { digestOf } from "../records/envelope.js";
import { namesOfUsers } from "../store/keys.js";
import { keepRecord, recordOf } from "../store/journal.js";
import { personHere } from "../store/people.js";
import { eyeBand, eyeMark, eyeOf, eyeWord, otherEye } from "../ui/eyes.js";
import { findingList } from "../ui/findings.js";
import { keptLine, notKeptLine } from "../ui/kept_line.js";
import { moment } from "../ui/moments.js";
import { boundFooter, pageHead, personLine } from "../ui/page.js";
import { stateWords } from "../ui/states.js";
import { coreNotice, emptyLine, waitingLine } from "../ui/waiting.js";
import { openCasefile, planOf } from "./casefile.js";
import { keepForm } from "./form_keep.js";
import { openPageOf, strips } from "./frame.js";
import { answerQuestion, questionView } from "./plan_question.js";
import { firstEye } from "./first_eye.js";
import { measureNext } from "./measure_next.js";
import { goneSince, isStillHere, likelyLens, verdict, verdictView } from "./plan_parts.js";
import { workingLink } from "./working_link.js";

/**
 * @typedef {object} Model
 * @property {Identity} identity
 * @property {string} id
 * @property {Eye} eye
 * @property {PersonRow | null} person
 * @property {Casefile | null} casefile
 * @property {any} plan
 * @property {Map<string, string>} names what each person is called, by user id
 * @property {{ instant: string, sentence: string } | null} kept
 * @property {string} answer what is typed to the surgeon's question
 * @property {string | null} noPlan why it cannot be calculated
 * @property {string | null} trouble why something was not kept
 * @property {boolean} busy
 *
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params: [id = "", eyeParam], identity }) {
  const eye = eyeOf(eyeParam);
  /** @type {Model} */
  const model = {
    ...{ identity, id, eye, person: await personHere(id), casefile: null, plan: null },
    ...{ names: new Map(), kept: null },
    ...{ answer: "", noPlan: null, trouble: null, busy: false },
  };
  const redraw = () => page.redraw();
  const page = openPageOf(root, id, () => view(model, redraw), () => calculate(model));
  return page.stop;
}

/** @param {Model} model */
async function calculate(model) {
  try {
    model.casefile = await openCasefile(model.id);
    model.plan = await planOf(model.casefile, model.eye);
    model.names = await namesOfUsers();
    model.noPlan = null;
  } catch (error) {
    model.noPlan = /** @type {Error} */ (error).message;
  }
}

/**
 * @param {Model} model
 * @param {() => void} redraw
 */
function view(model, redraw) {
  const { person, eye, id, casefile } = model;
  if (!person) return html`<main>${emptyLine("This person is not on this phone.")}</main>`;
  const back = { href: `#/person/${id}`, label: person.name };
  const fold = casefile?.fold.eyes[eye];
  return html`${pageHead({ title: `${eyeWord(eye)}, plan`, name: person.name, back })}
    ${personLine(person)}
    ${strips()} ${eyeBand({ eye, otherHref: `#/plan/${id}/${otherEye(eye)}`, note: noteOf(fold) })}
    <main>
      ${model.kept ? keptLine(model.kept.instant, model.kept.sentence) : nothing}
      ${model.trouble ? notKeptLine(model.trouble) : nothing}
      ${model.noPlan ? html`${coreNotice(coreStatus())}${waitingLine(model.noPlan)}` : nothing}
      ${fold && model.plan ? planView(model, fold, redraw) : nothing}
      ${!fold && !model.noPlan ? waitingLine("Calculating the plan, about 1 second.") : nothing}
    </main>`;
}

/** @param {any} fold */
function noteOf(fold) {
  if (!fold) return nothing;
  if (isStillHere(fold)) return "To the surgeon, waits here";
  const since = fold.request ? `, sent ${moment(fold.request.wall)}` : "";
  return `${stateWords(fold.state)}${since}`;
}

/**
 * @param {Model} model
 * @param {any} fold
 * @param {() => void} redraw
 */
function planView(model, fold, redraw) {
  const { plan, casefile, id, eye } = model;
  const answer = verdict(plan, fold);
  const act = () => void answerQuestion(model, fold.question, redraw);
  return html`${fold.state === "returned" ? questionView(model, fold.question, act, redraw) : nothing}
    ${verdictView(answer, plan, id, eye)} ${goneSince(fold)}
    <div class="gap-top">${findingList(plan.findings)}</div>
    ${measureNext(plan, fold.wanted, id, eye)} ${firstEye(plan)} ${likelyLens(plan, model.names)}
    ${plan.recommended ? workingLink(id, eye, plan) : nothing}
    ${footer(casefile)}
    <div class="dock">
      <a class="btn" href="#/person/${id}">Readings</a>
      ${sendButton(model, answer, redraw)}
    </div>`;
}

/**
 * @param {Model} model
 * @param {ReturnType<typeof verdict>} answer
 * @param {() => void} redraw
 */
function sendButton(model, { canSend, button }, redraw) {
  const word = eyeWord(model.eye);
  const words = model.busy ? "Keeping" : (button ?? `Send ${word.toLowerCase()} for a plan`);
  return html`<button type="button" class="btn main wide" aria-disabled=${!canSend || model.busy}
    @click=${() => canSend && void send(model, redraw)}>${eyeMark(model.eye)}<span>${words}</span></button>`;
}

/** @param {Casefile | null} casefile */
function footer(casefile) {
  const { catalogue, limits } = casefile?.reference ?? {};
  return boundFooter({
    core: coreStatus().sha256,
    catalogueTitle: catalogue?.body.title ?? "none yet",
    limitsTitle: limits?.body.title ?? "none yet",
    isDemo: catalogue?.body.demo === 1,
  });
}

/**
 * Keep the request to the surgeon: what is signed is exactly what this page shows.
 *
 * @param {Model} model
 * @param {() => void} redraw
 */
async function send(model, redraw) {
  if (model.busy || !model.plan?.shown) return;
  model.trouble = null;
  await keepForm(model, () => keepRequest(model), redraw);
}

/** @param {Model} model */
async function keepRequest(model) {
  const { id: person, eye, plan } = model;
  const body = { shown: plan.shown, digest: await digestOf(plan.shown) };
  const site = model.person?.site;
  const { id } = await keepRecord({ kind: "plan.request", person, eye, site, body });
  const stored = await recordOf(id);
  const sentence = `${eyeWord(stored?.payload.eye)} goes to the surgeon as soon as the base is heard.`;
  model.kept = { instant: stored?.payload.wall, sentence };
  await calculate(model);
  scrollTo(0, 0);
}
