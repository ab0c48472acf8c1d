/**
 * Rules of a lens that goes into an eye or comes out of it; twin of webapp/records/rules/surgery.py.
 *
 * @typedef {import("../kinds_rules.js").Values} Values
 * @typedef {import("../kinds_rules.js").Problem} Problem
 * @typedef {import("../kinds_rules.js").Rule} Rule
 */

/** Only a lens with a cylinder lies along an axis. @type {Rule} */
function finalAxisWithCylinder(body) {
  if (body.final_axis_deg === null || body.lens.cylinder_cD !== 0) return null;
  return ["final_axis_deg", "A lens without a cylinder has no axis. Clear it, or check the lens."];
}

/** What happened at surgery is described, unless it was nothing unusual. @type {Rule} */
function eventNeedsNote(body) {
  if (body.event === "none" || body.note !== null) return null;
  return ["note", "Write in a few words what happened and what was done."];
}

/** What is said of a lens taken out belongs to a surgery that names it. @type {Rule} */
function explantedWithExplants(body) {
  if ((body.explants ?? null) !== null) return null;
  for (const field of ["explanted_serial", "explanted_reason"]) {
    if ((body[field] ?? null) !== null) {
      return [field, "This belongs to an exchange. Name the lens taken out, or clear it."];
    }
  }
  return null;
}

/** A reason that is none of the list is written. @type {Rule} */
function otherWhyNeedsNote({ why, note }) {
  if (why !== "other" || note !== null) return null;
  return ["note", "Write in a few words why."];
}

/** A surgery names its check in theatre or says why there was none. @type {Rule} */
function checkedOrWhyNot({ theatre_check: check = null, unchecked_reason: reason = null }) {
  if (check === null || reason === null) return null;
  return [
    "unchecked_reason",
    "Name the check in theatre, or say why there was none: one of them.",
  ];
}

/** @type {Readonly<Record<string, Rule>>} */
export const SURGERY = {
  final_axis_with_cylinder: finalAxisWithCylinder,
  event_needs_note: eventNeedsNote,
  explanted_with_explants: explantedWithExplants,
  other_why_needs_note: otherWhyNeedsNote,
  checked_or_why_not: checkedOrWhyNot,
};
