/**
 * The surgeon's page of one eye, from top to end.
 *
 * @import { Acts, Model } from "./case.js"
 */
import { html, nothing } from "lit-html";
import { ref } from "lit-html/directives/ref.js";
import { coreStatus } from "../core/runtime.js";
import { eyeBand, eyeMark, eyeWord, otherEye } from "../ui/eyes.js";
import { findingList } from "../ui/findings.js";
import { keptLine } from "../ui/kept_line.js";
import { moment } from "../ui/moments.js";
import { boundFooter, pageHead, personLine, sectionHead } from "../ui/page.js";
import { stateTag } from "../ui/states.js";
import { coreNotice, emptyLine, waitingLine } from "../ui/waiting.js";
import { agreementLine, decisionSection } from "./case_decision.js";
import { dock } from "./case_dock.js";
import { checkedFindings } from "./case_findings.js";
import { isDecidable } from "./case_gate.js";
import { aimSection } from "./case_aim.js";
import { backupField } from "./case_backup.js";
import { lengthsSection, lensesSection, lensInView, movesLine } from "./case_lenses.js";
import { proposedLens } from "./case_proposed.js";
import { readingsSection } from "./case_readings.js";
import { lateAnswers } from "./case_late.js";
import { sideBySide } from "./case_settle.js";
import { sheetOf } from "./case_sheets.js";
import { sinceSection } from "./case_since.js";
import { staleNotice } from "./case_stale.js";
import { firstEye } from "./first_eye.js";
import { strips } from "./frame.js";
import { surerWith } from "./measure_next.js";
import { watchOfEnd } from "./read_to_end.js";
import { workingLink } from "./working_link.js";

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
  return html`${pageHead({ title: eyeWord(eye), name: person.name, back })} ${personLine(person)} ${strips()}
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
  if (fold.exchange) return lensPage(model, fold, acts);
  return html`${kept ? keptLine(kept.instant, kept.sentence) : nothing}
    ${notice ? html`<p class="notice strong" role="alert">${notice}</p>` : nothing}
    ${sinceSection(model, fold)} ${decisionSection(model, fold)} ${sideBySide(model, fold)} ${lateAnswers(model, fold)} ${staleNotice(model, fold)}
    ${sectionHead("Findings", isDecidable(fold) ? "each caution asks to be seen" : nothing)}
    ${checkedFindings(model, fold, acts)}
    ${proposedLens(model)}
    ${readingsSection(model, fold)} ${aimSection(model, acts)} ${firstEye(plan)} ${lengthsSection(model, acts)} ${lensesSection(model, acts)} ${backupField(model, acts)}
    ${movesLine(plan)} ${surerWith(plan)}
    ${lensInView(model) ? workingLink(model.id, model.eye, plan) : nothing} ${agreementLine(model)} ${footer(model, acts)} ${dock(model, fold, acts)} ${sheetOf(model, fold, acts)}`;
}

/**
 * With a lens in the eye there is nothing to plan here: what was decided and ordered about it, and
 * where it is weighed.
 *
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
function lensPage(model, fold, acts) {
  const { kept, notice, id, eye } = model;
  return html`${kept ? keptLine(kept.instant, kept.sentence) : nothing}
    ${notice ? html`<p class="notice strong" role="alert">${notice}</p>` : nothing}
    ${sinceSection(model, fold)} ${decisionSection(model, fold)} ${sideBySide(model, fold)} ${lateAnswers(model, fold)} ${staleNotice(model, fold)}
    <div class="stack gap-top"><a class="btn full" href="#/exchange/${id}/${eye}">${eyeMark(eye)}<span>Weigh an exchange</span></a>
      <a class="btn full" href="#/person/${id}">What was found after surgery</a></div>
    ${sectionHead("Findings")} ${findingList(fold.findings, { foldNotes: true })}
    ${agreementLine(model)} ${footer(model, acts)} ${dock(model, fold, acts)} ${sheetOf(model, fold, acts)}`;
}

/**
 * Return the last lines of a page that a decision is made on: they count as read once seen.
 *
 * @param {Model} model
 * @param {Pick<Acts, "redraw">} acts
 */
export function footer(model, acts) {
  const { catalogue, limits } = model.casefile?.reference ?? {};
  const end = ref(watchOfEnd(model, acts.redraw));
  return html`<div class="gap-top">${boundFooter({
    core: coreStatus().sha256,
    catalogueTitle: catalogue?.body.title ?? "none yet",
    limitsTitle: limits?.body.title ?? "none yet",
    isDemo: catalogue?.body.demo === 1,
  })}<span ${end}></span></div>`;
}
