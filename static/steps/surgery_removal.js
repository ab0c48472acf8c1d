/**
 * A lens that was taken out and nothing put in its place: its form, and the record of it that is
 * corrected or withdrawn by whoever made it.
 *
 * @import { Acts, Model } from "./surgery.js"
 * @import { Problem } from "./form_keep.js"
 * @import { Typed } from "./question_fields.js"
 */
import { html, nothing } from "lit-html";
import { eyeWord } from "../ui/eyes.js";
import { errorList } from "../ui/form.js";
import { notKeptLine } from "../ui/kept_line.js";
import { day, moment } from "../ui/moments.js";
import { sectionHead } from "../ui/page.js";
import { choicesOf } from "../ui/quantities.js";
import { written } from "./question_fields.js";
import { amendingHead, reasonProblems, standingSurgeries } from "./surgery_amend.js";
import { REMOVAL, removalBody, removalFields, removalProblems } from "./surgery_explant.js";

/** @type {Record<string, string>} */
const BUTTONS = { remove: "Keep the removal", correct: "Keep the correction", withdraw: "Withdraw the removal" };

/**
 * Return the removals that stand for an eye, each with the surgery of its lens, oldest first.
 *
 * @param {Pick<Model, "fold" | "entries">} model
 * @returns {{ lens: any, removal: import("../store/journal.js").Entry }[]}
 */
export function removalsIn({ fold, entries }) {
  return (fold?.surgeries ?? []).flatMap((/** @type {any} */ lens) => {
    const removal = entries.find(({ id, payload }) => id === lens.next && payload.kind === REMOVAL);
    return removal ? [{ lens, removal }] : [];
  });
}

/**
 * Return the removal that a form amends, with its lens; undefined for every other form.
 *
 * @param {Pick<Model, "fold" | "entries" | "typed">} model
 */
export const amendedRemoval = (model) => removalsIn(model).find(({ removal }) => removal.id === model.typed["amends"]);

/**
 * Return the form's fields as a standing removal has them, to be corrected.
 *
 * @param {import("../store/journal.js").Entry} removal
 * @returns {Typed}
 */
export function typedOfRemoval({ id, payload: { body } }) {
  const { operated, operator, why, note, serial, serial_reason: reason } = body;
  return {
    ...{ amends: id, how: "correct", operated, operator, why, note: note ?? "" },
    ...{ out_known: serial === null ? "no" : "yes", out_serial: serial ?? "", out_reason: reason ?? "" },
  };
}

/**
 * @param {Model} model
 * @param {any} lens the surgery of the lens taken out
 * @returns {Problem[]}
 */
export function problemsOfRemoval(model, lens) {
  const { typed } = model;
  const why = amendedRemoval(model) ? reasonProblems(typed) : [];
  return typed["how"] === "withdraw" ? why : [...why, ...removalProblems(typed, lens)];
}

/**
 * Return the kind and content of the record: a removal, its correction, or its withdrawal.
 *
 * @param {Model} model
 * @param {any} lens
 */
export function removalRecord(model, lens) {
  const { typed } = model;
  const amended = amendedRemoval(model)?.removal;
  const reason = written(typed["reason"]);
  if (amended && typed["how"] === "withdraw") {
    return { kind: "record.void", reason, body: { target: amended.id } };
  }
  const body = removalBody(typed, lens);
  return amended ? { kind: REMOVAL, replaces: amended.id, reason, body } : { kind: REMOVAL, body };
}

/**
 * @param {Model} model
 * @param {Acts} acts
 * @param {any} out the surgery of the lens taken out
 */
export function removalForm(model, acts, out) {
  const { typed, problems, trouble, busy, eye } = model;
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    acts.save();
  };
  const asking = { kind: REMOVAL, typed, problems, type: acts.type };
  const leave = () => acts.fill({});
  return html`<form class="form gap-top" @submit=${submit} novalidate>
    ${errorList(problems)} ${trouble ? notKeptLine(trouble) : nothing}
    ${sectionHead("Taken out, none put in")}
    ${amendedRemoval(model) ? amendingHead(asking, leave) : nothing}
    ${typed["how"] === "withdraw" ? nothing : removalFields(asking, out, acts.scan(out))}
    ${amendedRemoval(model) ? nothing : html`<button type="button" class="btn" @click=${leave}>Leave it as it is</button>`}
    <div class="dock"><button type="submit" class="btn main wide" aria-disabled=${busy}>${BUTTONS[typed["how"] ?? ""]},
      ${eyeWord(eye).toLowerCase()}</button></div>
  </form>`;
}

/**
 * What is on record of lenses that are out of an eye: whoever recorded it corrects it here.
 *
 * @param {Model} model
 * @param {Acts["fill"]} fill
 * @param {(surgery: any, how: "correct" | "withdraw") => void} amend
 */
export function pastRecords(model, fill, amend) {
  const gone = model.fold.surgeries.filter((/** @type {any} */ { in_eye }) => in_eye === 0);
  if (gone.length === 0) return nothing;
  return html`${standingSurgeries(gone, model.user, amend)}
    ${removalsIn(model).map(({ removal }) => removalNotice(removal, model.user, fill))}`;
}

/**
 * @param {import("../store/journal.js").Entry} removal
 * @param {string} user who works here
 * @param {Acts["fill"]} fill
 */
function removalNotice(removal, user, fill) {
  const { id, payload: { body, author, wall } } = removal;
  const [, why] = choicesOf(REMOVAL, "why").find(([name]) => name === body.why) ?? [];
  return html`<section class="notice gap-top" aria-label="Lens taken out">
    <p><span class="strong">Lens taken out</span> ${day(body.operated)} by ${body.operator}: ${why}. ${body.note ?? ""}</p>
    <p class="t-small soft">Recorded ${moment(wall)}.</p>
    ${author === user ? html`<div class="btn-row">
        <button type="button" class="btn" @click=${() => fill({ amends: id, how: "withdraw" })}>Withdraw the removal</button>
        <button type="button" class="btn" @click=${() => fill(typedOfRemoval(removal))}>Correct the removal</button>
      </div>` : html`<p class="t-small">Only whoever recorded it corrects or withdraws it.</p>`}
  </section>`;
}
