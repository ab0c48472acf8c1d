/**
 * What the surgeon aims at: the refraction to leave, and the change of the cornea by the incision.
 *
 * Without a choice the aim is plano and an unchanged cornea; both stand on the page in words.
 *
 * @import { Acts, Model } from "./case.js"
 * @typedef {{ sphere_cD: number, flattening_cD: number, meridian_deg: number | null }} AimDraft
 */
import { html, nothing } from "lit-html";
import { dioptres } from "../ui/numbers.js";
import { sectionHead } from "../ui/page.js";
import { closeSheet, openSheet } from "./case_open.js";
import { picker } from "./case_picker.js";

/** Mild short sight by choice; more than plano would be left to a long-sighted eye. */
const TARGETS_CD = [0, -25, -50, -75, -100, -125, -150, -175, -200, -250, -300];
const FLATTENINGS_CD = [0, 10, 20, 30, 40, 50, 60, 80, 100];
const MERIDIANS_DEG = Array.from({ length: 180 }, (_, index) => index + 1);

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function aimSection(model, acts) {
  const { assumptions, lengths } = model.plan;
  if (lengths.length === 0) return nothing;
  return html`${sectionHead("Aim")}
    <p class="t-small">${assumptions.join(" ")}</p>
    <button type="button" class="btn full gap-top" @click=${() => openSheet(model, "aim", acts)}>Another aim</button>`;
}

/**
 * @param {Model} model
 * @param {Acts} acts
 */
export function aimBody(model, acts) {
  const draft = model.aiming ?? draftOf(model);
  const missing = draft.flattening_cD > 0 && draft.meridian_deg === null;
  const set = (/** @type {Partial<AimDraft>} */ part) => {
    model.aiming = { ...draft, ...part };
    acts.redraw();
  };
  return html`<h2 class="t-title">What to aim at</h2>
    <p class="t-small soft">The plan is made again for it, and the approval binds it.</p>
    <form class="stack" novalidate @submit=${(/** @type {SubmitEvent} */ event) => {
      event.preventDefault();
      if (!missing) void take(model, draft, acts);
    }}>
      ${picker("Refraction to leave, D", draft.sphere_cD, TARGETS_CD.map((value) => [value, targetWords(value)]), (value) => set({ sphere_cD: Number(value) }))}
      ${picker("Flattening by the incision, D", draft.flattening_cD, FLATTENINGS_CD.map((value) => [value, value ? dioptres(value).replace("+", "") : "none planned"]), (value) => set(flattened(Number(value))))}
      ${draft.flattening_cD > 0 ? picker("Meridian of the incision, degrees", draft.meridian_deg, MERIDIANS_DEG.map((value) => [value, String(value)]), (value) => set({ meridian_deg: Number(value) })) : nothing}
      <p class="t-small soft">Plan a change only from your own results: the mean of other centres says little about one eye.</p>
      <div class="btn-row">
        <button type="button" class="btn" @click=${() => closeSheet(model, acts)}>Go back</button>
        <button type="submit" class="btn main" aria-disabled=${missing}>${missing ? "Choose the meridian" : "Plan for this aim"}</button>
      </div>
    </form>`;
}

/** @param {number} sphere_cD */
const targetWords = (sphere_cD) => (sphere_cD === 0 ? "plano" : `${dioptres(sphere_cD)} sphere`);

/**
 * No meridian is assumed for a change, and none stays when the change goes.
 *
 * @param {number} flattening_cD
 */
const flattened = (flattening_cD) => ({ flattening_cD, ...(flattening_cD === 0 ? { meridian_deg: null } : {}) });

/**
 * @param {Model} model
 * @returns {AimDraft}
 */
function draftOf({ aims: { target, surgical_change } }) {
  return {
    sphere_cD: target?.sphere_cD ?? 0,
    flattening_cD: surgical_change?.flattening_cD ?? 0,
    meridian_deg: surgical_change?.meridian_deg ?? null,
  };
}

/**
 * @param {Model} model
 * @param {AimDraft} draft
 * @param {Acts} acts
 */
async function take(model, { sphere_cD, flattening_cD, meridian_deg }, acts) {
  Object.assign(model, { sheet: null, aiming: null });
  await acts.aim({
    target: sphere_cD === 0 ? null : { sphere_cD, cylinder_cD: 0, axis_deg: null },
    surgical_change: flattening_cD > 0 && meridian_deg !== null ? { flattening_cD, meridian_deg } : null,
  });
}
