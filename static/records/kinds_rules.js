/**
 * Rules between the fields of one record, by name; twin of webapp/records/kinds_rules.py.
 *
 * A rule takes the object that it is listed with in kinds.json and the whole payload, both with
 * every field already checked alone. It gives the field and the sentence of what is wrong, or null.
 *
 * @typedef {Record<string, any>} Values
 * @typedef {[field: string, message: string] | null} Problem
 * @typedef {(values: Values, payload: Values) => Problem} Rule
 */

/** A person has a birth date or, where it is not known, a birth year. @type {Rule} */
function oneBirth(body) {
  if ((body.birth_date === null) !== (body.birth_year === null)) return null;
  return ["birth_date", "Give the birth date or, if only the year is known, the year: one of them."];
}

/** Nothing is kept without consent. @type {Rule} */
function consentToStore(body) {
  if (body.consent_store === "yes") return null;
  return ["consent_store", "Without the person's consent nothing may be kept. Keep no record."];
}

/** Kind and days of contact lenses belong to people who wear them. @type {Rule} */
function lensDetailsNeedLenses(body) {
  if (body.contact_lenses === "yes") return null;
  for (const field of ["contact_lens_type", "contact_lens_days_out"]) {
    if (body[field] !== null) {
      return [field, "This belongs to people who wear contact lenses. Answer yes, or clear it."];
    }
  }
  return null;
}

/** An eye disease is named. @type {Rule} */
function diseaseNeedsNote(body) {
  if (body.eye_disease !== "yes" || body.eye_disease_note !== null) return null;
  return ["eye_disease_note", "Write which eye disease or operation it is."];
}

/** A cylinder has an axis; without a cylinder there is none. @type {Rule} */
function axisIffCylinder(body) {
  if (body.cylinder_cD !== 0 && body.axis_deg === null) {
    return ["axis_deg", "A cylinder needs its axis. Give the axis, 1 to 180."];
  }
  if (body.cylinder_cD === 0 && body.axis_deg !== null) {
    return ["axis_deg", "Without a cylinder there is no axis. Clear it, or give a cylinder."];
  }
  return null;
}

/** A refraction at the glasses has a vertex distance; one at the cornea none. @type {Rule} */
function vertexIffSpectacle(body) {
  if (body.plane === "spectacle" && body.vertex_um === null) {
    return ["vertex_um", "At the glasses the vertex distance is needed. Measure it, 8 to 18 mm."];
  }
  if (body.plane === "corneal" && body.vertex_um !== null) {
    return ["vertex_um", "At the cornea there is no vertex distance. Clear it, or say glasses."];
  }
  return null;
}

/** Both principal powers of a refraction stay from -35.00 to +20.00 D. @type {Rule} */
function meridionalPower(body) {
  const other = body.sphere_cD + body.cylinder_cD;
  if (other >= -3500 && other <= 2000) return null;
  return [
    "cylinder_cD",
    "Sphere and cylinder together go from \u221235.00 to +20.00 D. Check both and their signs.",
  ];
}

/** Keratometry is given in the unit that the device shows, and in no other. @type {Rule} */
function keratometryUnitFields(body) {
  const dioptres = ["flat_cD", "steep_cD"];
  const millimetres = ["flat_radius_um", "steep_radius_um"];
  const [wanted, other] = body.unit === "D" ? [dioptres, millimetres] : [millimetres, dioptres];
  const name = body.unit === "D" ? "dioptres (D)" : "millimetres (mm)";
  for (const field of wanted) {
    if (body[field] === null) return [field, `The unit is ${name}: give this value in ${name}.`];
  }
  for (const field of other) {
    if (body[field] !== null) {
      return [field, `The unit is ${name}: clear this value, or change the unit.`];
    }
  }
  return null;
}

/** The flat meridian has the smaller power, so the larger radius. @type {Rule} */
function flatNotSteeper(body) {
  if (body.flat_cD !== null && body.flat_cD > body.steep_cD) {
    return ["steep_cD", "The flat K is stronger than the steep K. Check which is which."];
  }
  const { flat_radius_um: flatUm = null, steep_radius_um: steepUm = null } = body;
  if (flatUm !== null && steepUm !== null && flatUm < steepUm) {
    return [
      "steep_radius_um",
      "The flat radius is shorter than the steep radius. Check which is which.",
    ];
  }
  return null;
}

/** Gonioscopy gives a grade, the spur angle gives degrees; neither gives both. @type {Rule} */
function gradeOrAngle(body) {
  const graded = body.method === "gonioscopy";
  const [wanted, other] = graded ? ["grade", "angle_deg"] : ["angle_deg", "grade"];
  if (body[wanted] === null) {
    return [wanted, graded ? "Gonioscopy needs its grade." : "The spur angle needs degrees."];
  }
  if (body[other] !== null) {
    return [other, "This belongs to the other method. Clear it, or change the method."];
  }
  return null;
}

/** An earlier refraction was made before the day on which it is copied. @type {Rule} */
function datedBeforeTaken(body) {
  if (body.dated < body.taken.slice(0, 10)) return null;
  return ["dated", "An earlier refraction was made before today. Give the date written on it."];
}

/** A map has a day of its own only where it is older than its reading. @type {Rule} */
function madeBeforeTaken(body) {
  const madeOn = body.made_on ?? null;
  if (madeOn === null || madeOn < body.taken.slice(0, 10)) return null;
  return ["made_on", "An earlier map was made before today. Give the day on it, or clear it."];
}

/** The I−S difference is there exactly where the device gives it. @type {Rule} */
function isWithKmax(body) {
  const given = body.values === "kmax_is";
  if (given && body.is_cD === null) {
    return ["is_cD", "The I\u2212S difference is still missing. Give it, or say it is not given."];
  }
  if (!given && body.is_cD !== null) {
    return ["is_cD", "The device gives no I\u2212S difference: clear it."];
  }
  return null;
}

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

/** Another reason for taking a lens out is written. @type {Rule} */
function otherWhyNeedsNote({ why, note }) {
  if (why !== "other" || note !== null) return null;
  return ["note", "Write in a few words why the lens was taken out."];
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

/** A vault is 0 for touch, or at least 10 µm: a smaller number was read in millimetres. @type {Rule} */
function vaultNotMillimetres(body) {
  if (body.vault_um === 0 || body.vault_um >= 10) return null;
  return ["vault_um", "That looks like millimetres. Give the vault in \u00b5m, such as 480."];
}

/** What was shown is about the person and the eye of the record. @type {Rule} */
function shownSameEye(body, payload) {
  for (const field of ["person", "eye"]) {
    if (body.shown[field] !== payload[field]) {
      return [`shown.${field}`, `What was shown is about another ${field}. Open it again.`];
    }
  }
  return null;
}

/** Somebody is compared or joined with somebody else. @type {Rule} */
function anotherPerson({ other }, { person }) {
  if (other !== person) return null;
  return ["other", "A person is compared or joined with another one, not with themselves."];
}

/** What a settlement keeps is one of the decisions that it names. @type {Rule} */
function keptIsNamed({ kept, decisions }) {
  if (kept === null || decisions.includes(kept)) return null;
  return ["kept", "What is kept must be one of the decisions that contradict each other."];
}

/** A second reading is another person's; a box agrees only by two people. @type {Rule} */
function secondIsAnother({ second, second_person: person, outcome }, { author }) {
  if ((second === null) !== (person === null)) {
    return ["second_person", "A second reading needs the person who made it, and only then."];
  }
  if (person === author) {
    return ["second_person", "The second person must be somebody else than the first."];
  }
  if (outcome === "agrees" && second === null) {
    return ["second", "A box agrees only after a second person has read its label."];
  }
  return null;
}

/** A check in theatre agrees only with person, eye and box. @type {Rule} */
function theatreOutcome(body) {
  const notImplanted = body.outcome === "not_implanted";
  if ((body.why !== null) !== notImplanted) {
    return ["why", "Say why the lens is not implanted, and only then."];
  }
  if (notImplanted && body.note === null) {
    return ["note", "Write in a few words why the lens is not implanted."];
  }
  if (notImplanted) return null;
  const agrees = body.outcome === "agrees";
  if (agrees && body.person_confirmed.length < 2) {
    return [
      "person_confirmed",
      "Confirm who it is by two things, such as name and birth date.",
    ];
  }
  for (const field of agrees ? ["label", "eye", "printed_same"] : ["label"]) {
    if (body[field] === null) {
      return [field, "A box is compared only where all of it was looked at. This is missing."];
    }
  }
  if (!agrees || body.code !== null || body.trace !== null) return null;
  return ["trace", "Scan the code of the box, or read lot, serial number and date off it."];
}

/** A surgery names its check in theatre or says why there was none. @type {Rule} */
function checkedOrWhyNot({ theatre_check: check = null, unchecked_reason: reason = null }) {
  if (check === null || reason === null) return null;
  return [
    "unchecked_reason",
    "Name the check in theatre, or say why there was none: one of them.",
  ];
}

/** A confirmation says why it is another one where it replaces one. @type {Rule} */
function correctionIffCorrects({ correction, corrects }) {
  if ((correction === null) === (corrects.length === 0)) return null;
  if (correction === null) return ["correction", "Say why there is another confirmation."];
  return ["correction", "This is the first confirmation: there is none before it to correct."];
}

/** @type {Rule} */
const expectedNotBeforeConfirmed = (body) => notBefore(body, "confirmed_on", "it was confirmed");

/** @type {Rule} */
const expectedNotBeforeShipped = (body) => notBefore(body, "shipped_on", "it was shipped");

/**
 * Dates are written so that their texts sort as the days do.
 *
 * @param {Values} body
 * @param {string} field
 * @param {string} what
 * @returns {Problem}
 */
function notBefore(body, field, what) {
  if (body.expected_on === null || body.expected_on >= body[field]) return null;
  return ["expected_on", `It is expected before ${what}. Check both days.`];
}

/** Each caution shown is acknowledged, each stop overridden, nothing else is. @type {Rule} */
function findingsAnswered(body) {
  return (
    levelAnswered(body, "caution", "acknowledged", "acknowledged") ??
    levelAnswered(body, "stop", "overrides", "overridden with a reason")
  );
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

/** Each lens model of a catalogue has a name of its own. @type {Rule} */
function modelsNamedOnce(body) {
  /** @type {string[]} */
  const names = body.models.map((/** @type {{ model: string }} */ model) => model.model);
  const twice = names.find((name, index) => names.indexOf(name) !== index);
  return twice === undefined ? null : ["models", `The model ${twice} is listed twice. Keep one.`];
}

/** Powers run upwards in whole steps; a spherical model has no cylinder. @type {Rule} */
function modelSteps(model) {
  if (!inWholeSteps(model.sphere_min_cD, model.sphere_max_cD, model.sphere_step_cD)) {
    return ["sphere_max_cD", "Spheres must run from lowest to highest in whole steps."];
  }
  const cylinders = [model.cylinder_min_cD, model.cylinder_max_cD, model.cylinder_step_cD];
  if (model.toric === 0) {
    if (cylinders.every((value) => value === 0) && model.axis_step_deg === 0) return null;
    return ["toric", "A spherical model has no cylinder and no axis step: write 0."];
  }
  if (!inWholeSteps(cylinders[0], cylinders[1], cylinders[2])) {
    return ["cylinder_max_cD", "Cylinders must run from lowest to highest in whole steps."];
  }
  if (model.axis_step_deg === 0) return ["axis_step_deg", "A toric model needs its axis step."];
  return null;
}

/**
 * @param {number} low
 * @param {number} high
 * @param {number} step
 */
function inWholeSteps(low, high, step) {
  return step > 0 && low <= high && (high - low) % step === 0;
}

/** A number for each feature, and features in their fixed order. @type {Rule} */
function vaultModelParts(body) {
  const order = ["one", "excess_mm", "lens_rise_mm"];
  const size = body.features.length;
  if (body.features.some((/** @type {string} */ name, /** @type {number} */ at) => name !== order[at])) {
    return ["features", "Features are one, excess_mm and, if used, lens_rise_mm, in this order."];
  }
  if (body.mean_um_e3.length !== size) {
    return ["mean_um_e3", "There must be one coefficient for each feature."];
  }
  if (body.V_e9.length !== (size * (size + 1)) / 2) {
    return ["V_e9", "The upper triangle has a row for each feature, each one shorter."];
  }
  if ((body.centre_lens_rise_um === null) !== size < order.length) {
    return [
      "centre_lens_rise_um",
      "The lens rise has a centre where it is a feature, only then.",
    ];
  }
  return null;
}

/** @type {Rule} */
function gapRunsUpwards(body) {
  return body.to_seq < body.from_seq ? ["to_seq", "The last number lost comes before the first."] : null;
}

/** @type {Readonly<Record<string, Rule>>} */
export const RULES = {
  one_birth: oneBirth,
  consent_to_store: consentToStore,
  lens_details_need_lenses: lensDetailsNeedLenses,
  disease_needs_note: diseaseNeedsNote,
  axis_iff_cylinder: axisIffCylinder,
  vertex_iff_spectacle: vertexIffSpectacle,
  meridional_power: meridionalPower,
  keratometry_unit_fields: keratometryUnitFields,
  flat_not_steeper: flatNotSteeper,
  grade_or_angle: gradeOrAngle,
  dated_before_taken: datedBeforeTaken,
  made_before_taken: madeBeforeTaken,
  is_with_kmax: isWithKmax,
  final_axis_with_cylinder: finalAxisWithCylinder,
  event_needs_note: eventNeedsNote,
  explanted_with_explants: explantedWithExplants,
  other_why_needs_note: otherWhyNeedsNote,
  shown_same_implant: shownSameImplant,
  lens_iff_exchange: lensIffExchange,
  sure_before_operation: sureBeforeOperation,
  vault_not_millimetres: vaultNotMillimetres,
  shown_same_eye: shownSameEye,
  findings_answered: findingsAnswered,
  gap_runs_upwards: gapRunsUpwards,
  another_person: anotherPerson,
  kept_is_named: keptIsNamed,
  second_is_another: secondIsAnother,
  theatre_outcome: theatreOutcome,
  checked_or_why_not: checkedOrWhyNot,
  correction_iff_corrects: correctionIffCorrects,
  expected_not_before_confirmed: expectedNotBeforeConfirmed,
  expected_not_before_shipped: expectedNotBeforeShipped,
  models_named_once: modelsNamedOnce,
  model_steps: modelSteps,
  vault_model_parts: vaultModelParts,
};
