/**
 * Rules of what is measured, before surgery and after it; twin of webapp/records/rules/readings.py.
 *
 * @typedef {import("../kinds_rules.js").Values} Values
 * @typedef {import("../kinds_rules.js").Problem} Problem
 * @typedef {import("../kinds_rules.js").Rule} Rule
 */

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

/** A vault is 0 for touch, or at least 10 µm: a smaller number was read in millimetres. @type {Rule} */
function vaultNotMillimetres(body) {
  if (body.vault_um === 0 || body.vault_um >= 10) return null;
  return ["vault_um", "That looks like millimetres. Give the vault in \u00b5m, such as 480."];
}

/** @type {Readonly<Record<string, Rule>>} */
export const READINGS = {
  axis_iff_cylinder: axisIffCylinder,
  vertex_iff_spectacle: vertexIffSpectacle,
  meridional_power: meridionalPower,
  keratometry_unit_fields: keratometryUnitFields,
  flat_not_steeper: flatNotSteeper,
  grade_or_angle: gradeOrAngle,
  dated_before_taken: datedBeforeTaken,
  made_before_taken: madeBeforeTaken,
  is_with_kmax: isWithKmax,
  vault_not_millimetres: vaultNotMillimetres,
};
