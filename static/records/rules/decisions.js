/**
 * Rules of what a person decides by what was shown; twin of webapp/records/rules/decisions.py.
 *
 * @typedef {import("../kinds_rules.js").Values} Values
 * @typedef {import("../kinds_rules.js").Problem} Problem
 * @typedef {import("../kinds_rules.js").Rule} Rule
 */

/** What was shown is about the person and the eye of the record. @type {Rule} */
function shownSameEye(body, payload) {
  for (const field of ["person", "eye"]) {
    if (body.shown[field] !== payload[field]) {
      return [`shown.${field}`, `What was shown is about another ${field}. Open it again.`];
    }
  }
  return null;
}

/** Each caution shown is acknowledged, each stop overridden, nothing else is. @type {Rule} */
function findingsAnswered(body) {
  return (
    levelAnswered(body, "caution", "acknowledged", "acknowledged") ??
    levelAnswered(body, "stop", "overrides", "overridden with a reason")
  );
}

/** What was shown is about the lens that the decision is about. @type {Rule} */
function shownSameImplant({ shown, implant }) {
  if (shown.implant === implant) return null;
  return ["shown.implant", "What was shown is about another lens. Open it again."];
}

/** An exchange names its new lens and what is predicted for it; no other decision does. @type {Rule} */
function lensIffExchange({ shown, decision }) {
  for (const field of ["lens", "predicted"]) {
    if ((shown[field] !== null) !== (decision === "exchange")) {
      return [`shown.${field}`, "An exchange names its new lens, and nothing else does."];
    }
  }
  return null;
}

/** Another lens, or turning this one, is decided only on what could be reckoned. @type {Rule} */
function reckonedBeforeChange({ decision, shown }) {
  if (!["exchange", "turn", "rerotate"].includes(decision)) return null;
  const parts = [
    ...["model", "basis"].map((field) => [field, shown[field]]),
    ...["vault_um", "predicted_um", "sd_um"].map((field) => [`observed.${field}`, shown.observed[field]]),
  ];
  const open = parts.find(([, value]) => value === null);
  return open ? [`shown.${open[0]}`, "Nothing was reckoned. Without it the lens is not changed."] : null;
}

/** Before any further operation on the lens all four checks are answered with sure. @type {Rule} */
function sureBeforeOperation({ decision, sure }) {
  if (decision === "observe" || decision === "corneal") return null;
  for (const field of ["scan", "label", "orientation", "eye"]) {
    if (sure[field] !== "sure") {
      return [`sure.${field}`, "Be sure of this first. Without it only watching is decided."];
    }
  }
  return null;
}

/** What a settlement keeps is one of the decisions that it names. @type {Rule} */
function keptIsNamed({ kept, decisions }) {
  if (kept === null || decisions.includes(kept)) return null;
  return ["kept", "What is kept must be one of the decisions that contradict each other."];
}

/**
 * @param {Values} body
 * @param {string} level
 * @param {string} field
 * @param {string} verb
 * @returns {Problem}
 */
function levelAnswered(body, level, field, verb) {
  /** @type {{ code: string, level: string }[]} */
  const findings = body.shown.findings;
  const shown = new Set(findings.filter((f) => f.level === level).map((f) => f.code));
  /** @type {string[]} */
  const answered = body[field].map((/** @type {{ code: string }} */ answer) => answer.code);
  for (const code of [...shown].sort()) {
    if (!answered.includes(code)) return [field, `The ${level} ${code} was shown and is not ${verb}.`];
  }
  for (const code of answered) {
    if (!shown.has(code) || answered.filter((other) => other === code).length > 1) {
      return [field, `${code} is answered here but was not shown once as a ${level}.`];
    }
  }
  return null;
}

/** @type {Readonly<Record<string, Rule>>} */
export const DECISIONS = {
  shown_same_eye: shownSameEye,
  findings_answered: findingsAnswered,
  shown_same_implant: shownSameImplant,
  lens_iff_exchange: lensIffExchange,
  reckoned_before_change: reckonedBeforeChange,
  sure_before_operation: sureBeforeOperation,
  kept_is_named: keptIsNamed,
};
