/**
 * The page of a lens that may have to be exchanged, from top to end.
 *
 * @import { Acts, Model } from "./exchange.js"
 */
import { html, nothing } from "lit-html";
import { coreStatus } from "../core/runtime.js";
import { eyeBand, eyeWord } from "../ui/eyes.js";
import { keptLine } from "../ui/kept_line.js";
import { day } from "../ui/moments.js";
import { pageHead, personLine, sectionHead } from "../ui/page.js";
import { coreNotice, emptyLine, waitingLine } from "../ui/waiting.js";
import { checkedFindings } from "./case_findings.js";
import { footer } from "./case_view.js";
import { alternativesSection, lengthsSection } from "./exchange_choice.js";
import { decisionDock, decisionQuestion, decisionSheet } from "./exchange_decide.js";
import { decidedBefore, foundSection, sureSection } from "./exchange_found.js";
import { alsoFound, askedFor, seenSection } from "./exchange_seen.js";
import { findingsFor, isChecked } from "./exchange_gate.js";
import { strips } from "./frame.js";

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function exchangeView(model, acts) {
  const { person, eye, id, casefile, plan } = model;
  if (!person) {
    return html`${pageHead({ title: "Not here", back: { href: "#/queue", label: "Queue" } })}
      <main>${emptyLine("This person is not on this phone. Fetch from the outbox.")}</main>`;
  }
  const back = { href: `#/person/${id}`, label: person.name };
  return html`${pageHead({ title: `Exchange, ${eyeWord(eye).toLowerCase()}`, name: person.name, back })}
    ${personLine(person)} ${strips()} ${eyeBand({ eye, note: plan?.implant ? implantNote(plan.implant) : nothing })}
    <main>
      ${model.trouble ? html`${coreNotice(coreStatus())}${waitingLine(model.trouble)}` : nothing}
      ${casefile && plan ? page(model, acts) : nothing}
      ${!plan && !model.trouble ? waitingLine("Calculating, about 1 second.") : nothing}
    </main>`;
}

/** @param {any} implant */
const implantNote = ({ operated, serial }) => `operated ${day(operated)}, ${serial ? `serial ${serial}` : "serial not recorded"}`;

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function page(model, acts) {
  const { plan, kept, notice } = model;
  const fold = model.casefile?.fold.eyes[model.eye];
  const head = html`${kept ? keptLine(kept.instant, kept.sentence) : nothing}
    ${notice ? html`<p class="notice strong" role="alert">${notice}</p>` : nothing}
    ${askedFor(model, fold)} ${decidedBefore(model, fold)}`;
  if (!plan.decidable) return html`${head} ${undecidable(plan)} ${foot(model, fold, acts)}`;
  const asked = { ...model, plan: { ...plan, findings: findingsFor(model) } };
  const isAsked = Boolean(fold.exchange?.can_decide);
  return html`${head}
    <div class="looked">${plan.possible ? foundSection(plan) : seenSection(plan)} ${alsoFound(plan, fold)}</div>
    ${sureSection(model, acts)}
    ${isChecked(model) ? html`${plan.possible
          ? html`<div class="weighed">${alternativesSection(plan)} ${lengthsSection(model, acts)}</div>`
          : alternativesSection(plan)}
      ${isAsked ? decisionQuestion(model, acts) : nothing}
      ${sectionHead("Findings", isAsked ? "each caution asks to be seen" : nothing)}
      ${checkedFindings(asked, fold, acts, isAsked)}` : covered(plan)}
    ${plan.assumptions.length > 0 ? html`${sectionHead("What is assumed")}
      <ul class="t-small">${plan.assumptions.map((/** @type {string} */ text) => html`<li>${text}</li>`)}</ul>` : nothing}
    ${foot(model, fold, acts)}`;
}

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
const foot = (model, fold, acts) =>
  html`${footer(model, acts)} ${decisionDock(model, fold, acts)} ${decisionSheet(model, fold, acts)}`;

/** @param {any} plan */
const covered = ({ possible }) => html`<div class="covered"><p class="t-title">Check these first</p>
  <p class="t-small">${possible ? "Lengths and lenses come" : "What can be done comes"} once all four are answered. A wrong scan
    or label is as likely as an eye that surprises.</p></div>`;

/** @param {any} plan */
const undecidable = ({ lacks }) => html`<section class="notice gap-top">
  <p class="strong">Nothing can be decided about this lens yet. Missing:</p>
  <ul>${lacks.map((/** @type {any} */ { text }) => html`<li>${text}</li>`)}</ul></section>`;
