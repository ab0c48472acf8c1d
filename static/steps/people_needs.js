/**
 * What one eye needs next, in the words of a row of the list of people.
 *
 * @import { EyeSummary } from "./casefile.js"
 */
import { html } from "lit-html";
import { levelTag } from "../ui/findings.js";
import { isOptional, QUANTITIES, quantityLabel } from "../ui/quantities.js";
import { stateTag, tag } from "../ui/states.js";
import { lowerFirst } from "../ui/words.js";

const LISTED = 3;
const REQUIRED = QUANTITIES.filter((kind) => !isOptional(kind)).length;
/** An eye that nothing was asked of the surgeon for: what is missing is work, no alarm. */
const NOT_SENT = ["measuring", "ready"];
const UNASKED = "H21.";

/**
 * Say whether a finding only asks for a question that was left out.
 *
 * @param {{ code: string }} finding
 */
export const isUnasked = ({ code }) => code.startsWith(UNASKED);

/** @param {EyeSummary | undefined} summary */
export function needWords(summary) {
  if (!summary) return "Open to see";
  const { state, worst, question, isAtBase } = summary;
  if (question) return html`${tag("caution", "question", "Surgeon asks")} ${question}`;
  if (worst?.level === "stop") {
    if (isUnasked(worst) && NOT_SENT.includes(state)) return unaskedWords(summary);
    return html`${levelTag("stop")} ${worst.title}`;
  }
  if (state !== "measuring") return stateTag(state, { atBase: isAtBase });
  return missingWords(summary);
}

/** @param {EyeSummary} summary */
function unaskedWords(summary) {
  const missing = missingWords(summary);
  return missing ? `${missing}; questions to ask` : "Questions to ask";
}

/** @param {EyeSummary} summary */
export function missingWords({ missing, wanted }) {
  const measures = missing.filter(({ kind }) => QUANTITIES.includes(kind));
  if (measures.length >= REQUIRED) return `All ${measures.length} quantities`;
  const needs = missing.length > 0 ? missing : wanted;
  const labels = needs.map(({ kind, text }) =>
    QUANTITIES.includes(kind) ? quantityLabel(kind) : text,
  );
  const listed = labels.slice(0, LISTED).map((label, index) => (index ? lowerFirst(label) : label));
  const more = labels.length > LISTED ? `, ${labels.length - LISTED} more` : "";
  return `${listed.join(", ")}${more}`;
}
