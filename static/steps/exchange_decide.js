/**
 * The decision about a lens in an eye: chosen on the page, read once more on a sheet, signed with
 * the passphrase. What is signed is what stood on the page when it was typed.
 *
 * @import { Acts, Model } from "./exchange.js"
 */
import { html, nothing } from "lit-html";
import { checkPassphrase } from "../store/unlock.js";
import { eyeBand, eyeMark, eyeWord } from "../ui/eyes.js";
import { choiceField, textField } from "../ui/form.js";
import { identifiers, sectionHead } from "../ui/page.js";
import { sheet } from "../ui/sheet.js";
import { answeredFor, OLD_PAGE, passphraseField, promise } from "./case_approve.js";
import { goTo } from "./case_dock.js";
import { checkCode, distinct, ownDecision, reasonOf } from "./case_gate.js";
import { keepDecision } from "./case_keep.js";
import { closeSheet, openSheet } from "./case_open.js";
import { sayBody } from "./case_say.js";
import { DECIDED } from "./exchange_found.js";
import { CHECKS, decisionHindrance, decisionOf, EXCHANGE, findingsFor, measuredBy, offered, saidOf, signedFor } from "./exchange_gate.js";
import { openAsks } from "./lens_in_eye.js";

const MAX_CHARS = 500;

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function decisionQuestion(model, { say }) {
  return html`${sectionHead("Your decision")}
    <div id="decision" tabindex="-1">${choiceField({
      ...{ id: "decided", label: "What is to be done", choices: offered(model), value: decisionOf(model), error: null },
      columns: "one",
      onChoose: (value) => say("decision", value),
    })}
    ${textField({
      ...{ id: "note", label: "Note", hint: "If there is more to say; it is part of the decision", error: null },
      ...{ value: model.said.get("note") ?? "", isLong: true, maxChars: MAX_CHARS },
      onInput: (text) => say("note", text),
    })}
    ${measuredBy(model, model.plan.shown_without) ? askAnother(model) : nothing}</div>`;
}

/** @param {Model} model */
const askAnother = ({ id, eye }) => html`<p class="notice">You measured this eye, so another surgeon decides.
  <a class="link" href="#/exchange/${id}/${eye}/ask">Ask for it</a></p>`;

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
export function decisionDock(model, fold, acts) {
  const { plan, identity } = model;
  const hindrance = decisionHindrance(model);
  const back = ownDecision(fold, identity.user.id)
    ? html`<button type="button" class="btn" @click=${() => openSheet(model, "withdraw", caseActs(acts))}>Take back</button>` : nothing;
  if (!plan.decidable) return back === nothing ? nothing : html`<div class="dock">${back}</div>`;
  const act = () => (hindrance === null ? openSheet(model, "approve", caseActs(acts)) : goTo(hindrance));
  const words = hindrance?.words ?? `Decide for the ${eyeWord(model.eye).toLowerCase()}`;
  return html`<div class="dock">${back}<button type="button" class="btn main wide" aria-disabled=${hindrance !== null}
    @click=${act}>${hindrance ? nothing : eyeMark(model.eye)}<span>${words}</span></button></div>`;
}

/**
 * @param {Model} model
 * @param {any} fold
 * @param {Acts} acts
 */
export function decisionSheet(model, fold, acts) {
  if (!model.sheet) return nothing;
  const isBack = model.sheet === "withdraw";
  const label = `${isBack ? "Take a decision back" : "Decide"}, ${eyeWord(model.eye).toLowerCase()}`;
  const inside = isBack ? html`${eyeBand({ eye: model.eye })} ${sayBody(model, fold, caseActs(acts))}` : body(model, acts);
  return sheet({ label, body: inside, onClose: () => closeSheet(model, caseActs(acts)) });
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
function body(model, acts) {
  const { person, eye } = model;
  const decision = decisionOf(model) ?? "";
  const { digest } = signedFor(model, decision);
  const button = `Sign: ${(DECIDED[decision] ?? "").toLowerCase()}`;
  return html`<p><span class="t-head">${person?.name}</span>
      <span class="t-small soft">${person ? identifiers(person) : nothing}</span></p>
    ${eyeBand({ eye })}
    <p class="sentence" tabindex="-1" autofocus>${sentence(model, decision)}</p>
    ${decision === EXCHANGE ? html`<p class="t-small">${promise(model.plan)}</p>` : nothing}
    <p class="t-small">${model.plan.assumptions.join(" ")}</p>
    ${answeredFor({ ...model, plan: { ...model.plan, findings: findingsFor(model) } })}
    <form class="stack" novalidate @submit=${(/** @type {SubmitEvent} */ event) => {
      event.preventDefault();
      void decide(model, acts);
    }}>
      ${passphraseField(model, caseActs(acts))}
      <p class="t-micro soft">Check code <code>${checkCode(digest)}</code>.
        ${decision === EXCHANGE ? "It is printed on the order. The base can order only after this has arrived there." : ""}</p>
      <p class="t-micro soft">You decide; this supports you and replaces no one. The lens maker’s
        instructions and local rules come first.</p>
      <div class="btn-row">
        <button type="button" class="btn" @click=${() => closeSheet(model, caseActs(acts))}>Go back</button>
        <button type="submit" class="btn main" aria-disabled=${model.busy || model.typed === ""}>
          ${eyeMark(eye)} ${model.busy ? "Checking" : model.typed === "" ? "Passphrase first" : button}</button>
      </div>
    </form>`;
}

/**
 * @param {Model} model
 * @param {string} decision
 */
function sentence({ plan, eye }, decision) {
  if (decision === EXCHANGE) return `Exchange the lens. ${plan.sentence}`;
  const found = plan.alternatives.find((/** @type {any} */ { code }) => code === decision);
  return `${eyeWord(eye)}: ${(DECIDED[decision] ?? "").toLowerCase()}. ${found?.text ?? ""}`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
async function decide(model, acts) {
  if (model.busy || model.typed === "") return;
  // Bound before the passphrase is checked: what is signed is what stood here when it was typed.
  const body = decisionBody(model);
  Object.assign(model, { busy: true, refusal: null });
  acts.redraw();
  const { ok, why } = await checkPassphrase(model.typed);
  model.busy = false;
  if (!ok || model.isOldPage) {
    Object.assign(model, { typed: "", refusal: ok ? OLD_PAGE : why });
    return acts.redraw();
  }
  // Newer readings came while the passphrase was checked and closed the sheet.
  if (model.sheet !== "approve" || body.digest !== signedFor(model, body.decision).digest) return acts.redraw();
  const next = body.decision === EXCHANGE ? " The base can order once this has arrived there." : "";
  const words = `${(DECIDED[body.decision] ?? "").toLowerCase()}, decided.${next}`;
  await keepDecision(model, { kind: "exchange.decided", body, sentence: words }, caseActs(acts));
  // Whoever takes it back and decides again has seen nothing of the new decision yet.
  if (model.sheet === null) {
    model.acknowledged.clear();
    acts.redraw();
  }
}

/** @param {Model} model */
export function decisionBody(model) {
  const decision = decisionOf(model) ?? "";
  const { shown, digest } = signedFor(model, decision);
  const findings = findingsFor(model);
  const answers = openAsks(model.casefile?.fold.eyes[model.eye].exchange).map(({ id }) => id).sort();
  return {
    implant: model.plan.implant.id,
    ...{ shown, digest, decision },
    sure: Object.fromEntries(CHECKS.map((check) => [check, saidOf(model, check)])),
    acknowledged: distinct(findings, "caution").map(({ code }) => ({ code, at: model.acknowledged.get(code) })),
    overrides: distinct(findings, "stop").map(({ code }) => ({ code, reason: reasonOf(model, code) })),
    note: model.said.get("note")?.trim().normalize("NFC") || null,
    read_to_end: 1,
    ...(answers.length > 0 ? { answers } : {}),
  };
}

/**
 * The sheet and the keeping of a decision are those of the surgeon's page, which aims as well.
 *
 * @param {Acts} acts
 * @returns {import("./case.js").Acts}
 */
const caseActs = (acts) => ({ ...acts, aim: () => Promise.resolve() });
