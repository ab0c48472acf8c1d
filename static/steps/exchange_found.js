/**
 * What was found of a lens against what was planned, what was decided before, and the four checks.
 *
 * @import { Acts, Model } from "./exchange.js"
 */
import { html, nothing } from "lit-html";
import { choiceField } from "../ui/form.js";
import { day, moment } from "../ui/moments.js";
import { micrometres } from "../ui/numbers.js";
import { sectionHead } from "../ui/page.js";
import { powerText } from "../ui/power.js";
import { tag } from "../ui/states.js";
import { capital, lensText, nameIn } from "./case_decision.js";
import { checkCode } from "./case_gate.js";
import { saidOf } from "./exchange_gate.js";

/** What each decision is called once it was made. @type {Record<string, string>} */
export const DECIDED = {
  exchange: "Exchange the lens",
  observe: "Watch it",
  turn: "Turn it",
  rerotate: "Turn it back to its axis",
  corneal: "Correct the rest at the cornea",
  remove: "Take it out",
};

/** @param {any} plan */
export function foundSection({ implant, observed, predicted, surprise, naked }) {
  const found = observed.refraction ? powerText(observed.refraction) : "not refracted";
  return html`${sectionHead("Seen against planned", `day ${observed.days}`)}
    <p class="t-small">In the eye since ${day(implant.operated)}: <span class="strong">${implant.text}</span></p>
    <table class="grid compared"><thead><tr><td></td><th scope="col">Planned</th><th scope="col">Seen</th></tr></thead>
      <tbody>
        <tr><th scope="row">Vault</th><td>${micrometres(predicted.mean_um)}\u00a0µm, SD\u00a0${micrometres(predicted.sd_um)}</td>
          <td><b>${micrometres(observed.vault_um)}\u00a0µm</b></td></tr>
        <tr><th scope="row">With this lens</th><td class="soft">as ordered</td><td>${found}</td></tr>
        ${naked ? html`<tr><th scope="row">Without a lens</th><td>${powerText(naked.before)}</td>
          <td>${powerText(naked)}</td></tr>` : nothing}
      </tbody></table>
    <p class="t-small ${surprise.over ? "strong" : ""}">${surprise.text}</p>
    <p class="t-small soft">${predicted.text}</p>
    ${naked ? html`<p class="t-small">${naked.sentence}</p>` : nothing}`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function sureSection(model, acts) {
  return html`${sectionHead("First be sure", "four checks")}
    <div class="checks">${model.plan.sure.map((/** @type {any} */ check) => oneCheck(model, check, acts))}</div>`;
}

/**
 * What the records say stands beside the question; they never answer it.
 *
 * @param {Model} model
 * @param {{ code: string, title: string, state: string, text: string, do: string }} check
 * @param {Acts} acts
 */
function oneCheck(model, { code, title, state, text, do: what }, { say }) {
  return html`<section class="sure" id="sure.${code}" tabindex="-1" aria-label=${title}>
    ${choiceField({
      id: `said-${code}`,
      label: title,
      hint: html`${standing(state, saidOf(model, code))} ${text} ${what}`,
      choices: [["sure", "I am sure"], ["not_sure", "Not sure"]],
      value: saidOf(model, code) ?? null,
      error: null,
      onChoose: (value) => say(`sure.${code}`, value),
    })}
  </section>`;
}

/**
 * Return whether the records show it, or else what the surgeon says of it.
 *
 * @param {string} state
 * @param {unknown} said
 */
function standing(state, said) {
  if (state === "shown") return tag("done", "tick", "On record");
  return said === "sure" ? tag("done", "tick", "You are sure") : tag("caution", "caution", "Open");
}

/**
 * What was decided about this lens before, the newest first, and whether it still stands.
 *
 * @param {Model} model
 * @param {any} fold
 */
export function decidedBefore(model, fold) {
  const decisions = [...(fold.exchange?.decisions ?? [])].reverse();
  const name = nameIn(model);
  return decisions.map((/** @type {any} */ one) => html`<section class="notice gap-top" aria-label="Decided before">
    <p class="strong">${one.live ? "" : "No longer stands: "}${DECIDED[one.decision] ?? one.decision}${one.shown.lens ? html`, ${lensText(one.shown.lens)}` : nothing}</p>
    <p class="t-small">${capital(name(one.author))}, ${moment(one.wall)}. Check code <code>${checkCode(one.digest)}</code>.
      ${one.received === null ? "Kept on this phone; it goes with the next exchange." : "It has arrived at the base."}</p>
    ${one.live ? nothing : html`<ul class="t-small">${one.stale.map((/** @type {any} */ { text }) => html`<li>${text}</li>`)}</ul>`}
  </section>`);
}
