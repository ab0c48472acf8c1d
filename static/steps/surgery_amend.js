/**
 * A surgery's record that is wrong: its own author corrects it, or takes it back, with a reason.
 *
 * @import { Asking, Typed } from "./question_fields.js"
 * @import { Problem } from "./form_keep.js"
 */
import { html, nothing } from "lit-html";
import { SHAPES } from "../records/kinds.js";
import { day, moment } from "../ui/moments.js";
import { choicesOf } from "../ui/quantities.js";
import { textAsked, written } from "./question_fields.js";
import { LENS_PARTS, SURGERY } from "./surgery_body.js";
import { theatreTyped } from "./surgery_theatre.js";

/** What may be done, and how it is said. @type {Record<string, { title: string, button: string, hint: string }>} */
export const AMENDING = {
  correct: {
    title: "Correcting what was recorded",
    button: "Keep the correction",
    hint: "The first record stays behind the new one. What was found after surgery stays with this lens.",
  },
  withdraw: {
    title: "Withdrawing what was recorded",
    button: "Withdraw the surgery",
    hint: "It stays in the record, marked as withdrawn. What was found after it then counts for nothing.",
  },
};

/**
 * Return the surgery that a form is about; undefined for one that is new.
 *
 * @param {any} fold
 * @param {Typed} typed
 */
export const amendedIn = (fold, typed) =>
  fold?.surgeries.find((/** @type {any} */ { id }) => id === typed["amends"]);

/**
 * Return the form's fields as a standing record has them, to be corrected.
 *
 * @param {any} surgery
 * @param {any} lens the lens that was ordered, or null
 * @returns {Typed}
 */
export function typedOf({ id, body }, lens) {
  const { operated, operator, serial, event, note, explants = null, explanted_serial: out = null } = body;
  const taken = { out_known: out === null ? "no" : "yes", out_serial: out ?? "", out_reason: body.explanted_reason ?? "" };
  const isSame = lens && LENS_PARTS.every(([name]) => lens[name] === body.lens[name]);
  const parts = isSame ? [] : LENS_PARTS.map(([name]) => [name, partText(name, body.lens[name])]);
  return {
    ...{ amends: id, how: "correct", operated, operator, event, note: note ?? "" },
    ...{ serial_known: serial === null ? "no" : "yes", serial: serial ?? "" },
    ...{ label: isSame ? "same" : "other", ...Object.fromEntries(parts) },
    ...(explants === null ? {} : taken),
    incision_meridian_deg: String(body.incision_meridian_deg ?? ""),
    final_axis_deg: String(body.final_axis_deg ?? ""),
    ...theatreTyped(body),
  };
}

/**
 * @param {string} name
 * @param {string | number | null} value
 */
function partText(name, value) {
  if (typeof value !== "number") return value ?? "";
  /** @type {any} */
  const field = SHAPES["lens"]?.fields[name];
  const { scale = 1, signed } = field;
  return `${signed && value > 0 ? "+" : ""}${value / scale}`;
}

/** @param {Typed} typed @returns {Problem[]} */
export function reasonProblems(typed) {
  if (written(typed["reason"])) return [];
  return [{ field: "reason", label: "Reason", message: "Write why, for whoever reads it later." }];
}

/**
 * Return the head of a form that amends: what it does, and the field of the reason.
 *
 * @param {Asking} asking
 * @param {() => void} leave
 */
export function amendingHead(asking, leave) {
  const words = AMENDING[asking.typed["how"] ?? ""];
  if (!words) return nothing;
  return html`<p class="notice"><span class="strong">${words.title}.</span> ${words.hint}
      <button type="button" class="btn" @click=${leave}>Leave it as it is</button></p>
    ${textAsked(asking, "reason", { label: "Reason", maxChars: 500, isLong: true })}`;
}

/**
 * Return the surgeries that stand for an eye, with what their author may do.
 *
 * @param {any[]} surgeries
 * @param {string} user who works here
 * @param {(surgery: any, how: "correct" | "withdraw") => void} amend
 */
export function standingSurgeries(surgeries, user, amend) {
  return surgeries.map((surgery) => {
    const { author, body, text, wall, explanted_on: out = null } = surgery;
    return html`<section class="notice gap-top">
      <p><span class="strong">${text}</span>, operated ${day(body.operated)} by ${body.operator},
        ${body.serial ? `serial ${body.serial}` : "serial not recorded"}${out ? `, taken out ${day(out)}` : ""}. ${eventWords(body)}</p>
      <p class="t-small soft">Recorded ${moment(wall)}.</p>
      ${author === user ? html`<div class="btn-row">
          ${out ? nothing : html`<button type="button" class="btn" @click=${() => amend(surgery, "withdraw")}>Withdraw it</button>`}
          <button type="button" class="btn" @click=${() => amend(surgery, "correct")}>Correct it</button>
        </div>` : html`<p class="t-small">Only whoever recorded it corrects or withdraws it.</p>`}
    </section>`;
  });
}

/** @param {{ event: string, note: string | null }} body */
function eventWords({ event, note }) {
  if (event === "none") return "";
  const [, words] = choicesOf(SURGERY, "event").find(([name]) => name === event) ?? [event, event];
  return `${words}: ${note ?? ""}`;
}
