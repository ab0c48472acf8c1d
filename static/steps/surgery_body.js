/**
 * What was typed about a surgery, looked at and turned into the record's body.
 *
 * @import { Problem } from "./form_keep.js"
 * @import { Typed } from "./question_fields.js"
 */
import { BadRecord } from "../records/errors.js";
import { parseField, SHAPES } from "../records/kinds.js";
import { fieldOf } from "../ui/quantities.js";
import { today } from "../ui/moments.js";
import { problemAt, written } from "./question_fields.js";

export const SURGERY = "surgery.implanted";
const DEGREES = ["incision_meridian_deg", "final_axis_deg"];

/** The parts of a lens as its label gives them, with what each is called. @type {[string, string][]} */
export const LENS_PARTS = [
  ["model", "Model on the label"],
  ["sphere_cD", "Sphere on the label (D, with its sign)"],
  ["cylinder_cD", "Cylinder on the label (D, with its sign; 0 if none)"],
  ["axis_deg", "Axis on the label (empty without a cylinder)"],
  ["length_um", "Length on the label (mm)"],
];

/**
 * @param {Typed} typed
 * @param {any} lens
 */
export const saysOther = (typed, lens) => !lens || typed["label"] === "other";

/**
 * @param {Typed} typed
 * @param {any} lens
 */
export function isToric(typed, lens) {
  if (!saysOther(typed, lens)) return lens.cylinder_cD !== 0;
  // Labels give a cylinder of either sign.
  return /[1-9]/.test(typed["cylinder_cD"] ?? "");
}

/**
 * Return what keeps the surgery from being kept.
 *
 * @param {Typed} typed
 * @param {any} lens the lens that was ordered, or null
 * @returns {Problem[]}
 */
export function problemsOf(typed, lens) {
  /** @type {Problem[]} */
  const problems = [];
  const operated = typed["operated"] ?? "";
  if (!operated) problems.push(problemAt(SURGERY, "operated", "Give the day."));
  else if (operated > today()) problems.push(problemAt(SURGERY, "operated", "That day is still to come."));
  if (!written(typed["operator"])) problems.push(problemAt(SURGERY, "operator", "Name who operated."));
  if (lens && !typed["label"]) {
    problems.push({ field: "label", label: "Label", message: "Compare the label, then say what it says." });
  }
  if (saysOther(typed, lens)) problems.push(...LENS_PARTS.flatMap(([name, label]) => lensProblem(typed, name, label)));
  problems.push(...serialProblems(typed));
  for (const name of DEGREES) problems.push(...numberProblem(fieldOf(SURGERY, name), name, typed));
  if (!typed["event"]) problems.push(problemAt(SURGERY, "event", "Choose what happened."));
  else if (typed["event"] !== "none" && !written(typed["note"])) {
    problems.push(problemAt(SURGERY, "note", "Write in a few words what happened and what was done."));
  }
  return problems;
}

/** @param {Typed} typed */
function serialProblems(typed) {
  const label = "Serial number";
  if (!typed["serial_known"]) {
    return [{ field: "serial_known", label, message: "Say whether the label gives it." }];
  }
  const isMissing = typed["serial_known"] === "yes" && !written(typed["serial"]);
  return isMissing ? [{ field: "serial", label, message: "Type it as printed." }] : [];
}

/**
 * @param {Typed} typed
 * @param {string} name
 * @param {string} label
 * @returns {Problem[]}
 */
function lensProblem(typed, name, label) {
  if (name === "axis_deg" && !isToric(typed, null)) return [];
  if (!written(typed[name])) return [{ field: name, label, message: "Write what the label says." }];
  if (name === "model") return [];
  return numberProblem({ ...SHAPES["lens"]?.fields[name], label }, name, typed);
}

/**
 * @param {any} field
 * @param {string} name
 * @param {Typed} typed
 * @returns {Problem[]}
 */
function numberProblem(field, name, typed) {
  if (!written(typed[name])) return [];
  try {
    parseField(name, field, written(typed[name]) ?? "");
    return [];
  } catch (error) {
    if (!(error instanceof BadRecord)) throw error;
    return [{ field: name, label: field.label, message: error.message }];
  }
}

/**
 * Return the record's body. The lens is the ordered one only where the label was said to agree.
 *
 * @param {Typed} typed
 * @param {any} lens
 * @param {any} order of the fold, or null
 */
export function bodyOf(typed, lens, order) {
  const degrees = (/** @type {string} */ name) => {
    const text = written(typed[name]);
    return text === null ? null : parseField(name, fieldOf(SURGERY, name), text);
  };
  return {
    operated: typed["operated"],
    lens: saysOther(typed, lens) ? lensTyped(typed) : lens,
    serial: typed["serial_known"] === "yes" ? written(typed["serial"]) : null,
    order: lens ? order.id : null,
    approval: lens ? order.approval : null,
    incision_meridian_deg: degrees("incision_meridian_deg"),
    final_axis_deg: isToric(typed, lens) ? degrees("final_axis_deg") : null,
    operator: written(typed["operator"]),
    event: typed["event"],
    note: typed["event"] === "none" ? null : written(typed["note"]),
  };
}

/** @param {Typed} typed */
function lensTyped(typed) {
  const number = (/** @type {string} */ name) =>
    parseField(name, /** @type {any} */ (SHAPES["lens"]?.fields[name]), written(typed[name]) ?? "");
  return {
    model: written(typed["model"]),
    sphere_cD: number("sphere_cD"),
    cylinder_cD: number("cylinder_cD"),
    axis_deg: isToric(typed, null) ? number("axis_deg") : null,
    length_um: number("length_um"),
  };
}
