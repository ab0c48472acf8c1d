/**
 * The surgeon's page of one eye, from top to end.
 *
 * @import { Acts, Model } from "./case.js"
 */
import { html, nothing } from "lit-html";
import { ref } from "lit-html/directives/ref.js";
import { coreStatus } from "../core/runtime.js";
import { eyeBand, eyeMark, eyeWord, otherEye } from "../ui/eyes.js";
import { keptLine } from "../ui/kept_line.js";
import { moment } from "../ui/moments.js";
import { boundFooter, pageHead, personLine, sectionHead } from "../ui/page.js";
import { stateTag } from "../ui/states.js";
import { coreNotice, emptyLine, waitingLine } from "../ui/waiting.js";
import { checkedFindings } from "./case_findings.js";
import { approvalHindrance } from "./case_gate.js";
import { lengthsSection, lensesSection, movesLine } from "./case_lenses.js";
import { readingsSection } from "./case_readings.js";
import { openSheet } from "./case_open.js";
import { sheetOf } from "./case_sheets.js";
import { staleNotice } from "./case_stale.js";
import { strips } from "./frame.js";

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function caseView(model, acts) {
  const { person, eye, id, casefile, plan } = model;
  const back = { href: "#/queue", label: "Queue" };
  if (!person) {
    return html`${pageHead({ title: "Not here", back })}
      <main>${emptyLine("This person is not on this phone. Fetch from the outbox.")}</main>`;
  }
  const fold = casefile?.fold.eyes[eye];
  return html`${pageHead({ title: `${eyeWord(eye)}, ${person.name}`, back })} ${personLine(person)} ${strips()}
    ${eyeBand({ eye, otherHref: `#/case/${id}/${otherEye(eye)}`, note: fold ? sentWords(model, fold) : nothing })}
    <main>
      ${model.trouble ? html`${coreNotice(coreStatus())}${waitingLine(model.trouble)}` : nothing}
      ${fold && plan ? page(model, fold, acts) : nothing}
      ${!fold && !model.trouble ? waitingLine("Calculating the plan, about 1 second.") : nothing}
    </main>`;
}

/**
 * @param {Model} model
 * @param {any} fold
 */
function sentWords({ names }, { state, request }) {
  if (!request) return html`${stateTag(state)} not sent yet`;
  return `Sent by ${names.get(request.author) ?? "a colleague"}, ${moment(request.wall)}`;
}

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
function page(model, fold, acts) {
  const { plan, kept, notice } = model;
  return html`${kept ? keptLine(kept.instant, kept.sentence) : nothing}
    ${notice ? html`<p class="notice strong" role="alert">${notice}</p>` : nothing}
    ${decisionLine(model, fold)} ${staleNotice(model, fold)} ${questionLines(fold)}
    ${sectionHead("Findings", "each caution asks to be seen")} ${checkedFindings(model, acts)}
    ${readingsSection(model, fold)} ${lengthsSection(model, acts)} ${lensesSection(model, acts)}
    ${movesLine(plan)} ${footer(model, acts)} ${dock(model, fold, acts)} ${sheetOf(model, fold, acts)}`;
}

/**
 * @param {Model} model
 * @param {any} fold
 */
function decisionLine({ names }, { state, state_why, approval, request }) {
  if (state === "queued" || !request) return nothing;
  const by = approval ? html` by ${names.get(approval.author) ?? "a colleague"}, ${moment(approval.wall)}` : nothing;
  return html`<p class="gap-top">${stateTag(state, { atBase: approval ? approval.received !== null : true })}
    <span class="t-small">${state_why}${by}</span></p>`;
}

/** @param {any} fold */
function questionLines({ question }) {
  if (!question) return nothing;
  return html`<p class="notice"><span class="strong">You asked:</span> ${question.text}<br />
    ${question.answers.length === 0
      ? "No answer yet."
      : question.answers.map((/** @type {any} */ { text }) => html`<span class="strong">The camp answers:</span> ${text} `)}</p>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function footer(model, acts) {
  const { catalogue, limits } = model.casefile?.reference ?? {};
  const end = ref((element) => watchEnd(element, model, acts));
  return html`<div class="gap-top" ${end}>${boundFooter({
    core: coreStatus().sha256,
    catalogueTitle: catalogue?.body.title ?? "none yet",
    limitsTitle: limits?.body.title ?? "none yet",
    isDemo: catalogue?.body.demo === 1,
  })}</div>`;
}

/** @type {WeakSet<Element>} */
const watched = new WeakSet();

/**
 * The end of the page counts as reached when its last lines were on the screen.
 *
 * @param {Element | undefined} element
 * @param {Model} model
 * @param {Acts} acts
 */
function watchEnd(element, model, { redraw }) {
  if (!element || watched.has(element)) return;
  watched.add(element);
  const observer = new IntersectionObserver((entries) => {
    if (model.isRead || !entries.some(({ isIntersecting }) => isIntersecting)) return;
    model.isRead = true;
    redraw();
  });
  observer.observe(element);
}

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
function dock(model, fold, acts) {
  const open = (/** @type {Model["sheet"]} */ sheet) => () => openSheet(model, sheet, acts);
  const own = fold.approval?.author === model.identity.user.id && fold.state !== "ordered";
  const hindrance = approvalHindrance(model);
  const canAnswer = ["queued", "stale", "conflict"].includes(fold.state);
  return html`<div class="dock">
    ${canAnswer ? html`<button type="button" class="btn" @click=${open("decline")}>Decline</button>
        <button type="button" class="btn" @click=${open("ask")}>Ask</button>` : nothing}
    ${own ? html`<button type="button" class="btn" @click=${open("withdraw")}>Take back</button>` : nothing}
    <button type="button" class="btn main wide" aria-disabled=${hindrance !== null}
      @click=${hindrance === null ? open("approve") : () => undefined}>
      ${eyeMark(model.eye)}<span>${hindrance ?? `Approve ${eyeWord(model.eye).toLowerCase()}`}</span></button>
  </div>`;
}
