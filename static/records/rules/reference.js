/**
 * Rules of what holds for the whole installation; twin of webapp/records/rules/reference.py.
 *
 * @typedef {import("../kinds_rules.js").Values} Values
 * @typedef {import("../kinds_rules.js").Problem} Problem
 * @typedef {import("../kinds_rules.js").Rule} Rule
 */

/** Each lens model of a catalogue has a name of its own. @type {Rule} */
function modelsNamedOnce(body) {
  /** @type {string[]} */
  const names = body.models.map((/** @type {{ model: string }} */ model) => model.model);
  const twice = names.find((name, index) => names.indexOf(name) !== index);
  return twice === undefined ? null : ["models", `The model ${twice} is listed twice. Keep one.`];
}

/** A product number has 14 digits, the last one checks it, and it is of one model. @type {Rule} */
function productNumbers(body) {
  const seen = new Set();
  for (const [index, { gtins }] of body.models.entries()) {
    for (const gtin of gtins ?? []) {
      const problem = !isGtin(gtin) ? "mistyped: of 14 digits the last checks it" : seen.has(gtin) ? "listed twice" : null;
      if (problem) return [`models.${index}.gtins`, `The product number ${gtin} is ${problem}.`];
      seen.add(gtin);
    }
  }
  return null;
}

/** Weights 3 and 1 in turn; the sum of all is a multiple of ten. @param {string} text */
function isGtin(text) {
  const sum = [...text].reduce((before, digit, at) => before + Number(digit) * (at % 2 ? 1 : 3), 0);
  return /^[0-9]{14}$/.test(text) && sum % 10 === 0;
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

/**
 * @param {number} low
 * @param {number} high
 * @param {number} step
 */
function inWholeSteps(low, high, step) {
  return step > 0 && low <= high && (high - low) % step === 0;
}

/** @type {Readonly<Record<string, Rule>>} */
export const REFERENCE = {
  models_named_once: modelsNamedOnce,
  product_numbers: productNumbers,
  model_steps: modelSteps,
  vault_model_parts: vaultModelParts,
  gap_runs_upwards: gapRunsUpwards,
};
