/**
 * The quantities of an eye in the order they are taken, with the fields that each asks for.
 *
 * Labels, units and ranges come from the table of record kinds; here is only the order and which
 * field is asked when.
 *
 * @typedef {object} Part one question of a quantity
 * @property {string} field
 * @property {"number" | "choice" | "date" | "device"} type
 * @property {string} label
 * @property {string} group what the row of parts calls it; parts of one group stand together
 * @property {1} [optional] where no answer is an answer
 */
import { kindNamed } from "../records/kinds.js";

/** What a plan can do without and the camp is not asked for; a rule sees more with it. */
const FURTHER = [
  "earlier_refraction",
  "auto_refraction",
  "cycloplegic_refraction",
  "tomography",
  "endothelial_mosaic",
  "lens_thickness",
  "iris_profile",
  "optic_disc",
];

const SLUGS = [
  "refraction",
  "acuity",
  "keratometry",
  "chamber_depth",
  "corneal_thickness",
  "white_to_white",
  "sulcus_to_sulcus",
  "lens_rise",
  "endothelial_count",
  "pressure",
  "pupil",
  "angle",
  ...FURTHER,
];

/** What is read of an eye with a lens in it, in the order of a visit. */
const AFTER = [
  "acuity",
  "refraction",
  "vault",
  "pressure",
  "pupil",
  "angle",
  "axis_seen",
  "lens_clarity",
  "endothelial_count",
];

const REFRACTION = ["sphere_cD", "cylinder_cD", "axis_deg", "plane", "vertex_um"];

/** Fields of each quantity in the order asked; a question of unit or surface comes before its pad. */
const FIELDS = /** @type {Record<string, string[]>} */ ({
  refraction: REFRACTION,
  cycloplegic_refraction: REFRACTION,
  auto_refraction: [...REFRACTION, "device"],
  earlier_refraction: ["source", "dated", ...REFRACTION],
  keratometry: [
    "unit",
    "flat_cD",
    "steep_cD",
    "flat_radius_um",
    "steep_radius_um",
    "steep_meridian_deg",
    "device",
  ],
  chamber_depth: ["surface", "depth_um", "device"],
  lens_rise: ["reference", "rise_um", "device"],
  pupil: ["light", "diameter_um"],
  angle: ["method", "grade", "angle_deg"],
  after_acuity: ["logmar_c", "correction"],
  after_refraction: REFRACTION,
  after_vault: ["light", "device", "vault_um"],
  after_pressure: ["device", "iop_dmmHg"],
  after_endothelial_count: ["device", "ecd_pmm2"],
  after_pupil: ["light", "diameter_um"],
  after_angle: ["method", "grade", "angle_deg"],
  after_axis_seen: ["seen_axis_deg", "method"],
});

/** A field is asked only where the answers so far call for it. */
const ASKED_WHEN = /** @type {Record<string, (body: Record<string, any>) => boolean>} */ ({
  axis_deg: ({ cylinder_cD }) => Boolean(cylinder_cD),
  vertex_um: ({ plane }) => plane === "spectacle",
  flat_cD: ({ unit }) => unit === "D",
  steep_cD: ({ unit }) => unit === "D",
  flat_radius_um: ({ unit }) => unit === "mm",
  steep_radius_um: ({ unit }) => unit === "mm",
  grade: ({ method }) => method === "gonioscopy",
  angle_deg: ({ method }) => method === "spur_angle",
  is_cD: ({ values }) => values === "kmax_is",
});

const PART_TYPES = /** @type {Record<string, string>} */ ({
  int: "number",
  choice: "choice",
  date: "date",
});

const GROUPS = /** @type {Record<string, string>} */ ({
  plane: "Vertex",
  vertex_um: "Vertex",
  unit: "Unit",
  source: "From",
  dated: "Date",
  made_on: "Date",
  values: "Gives",
  is_cD: "I−S",
  kmax_cD: "Kmax",
  map_grade: "Grade",
  device_flag: "Grade",
  cv_percent: "Variation",
  hexagonal_percent: "Hexagonal",
  surface: "Surface",
  reference: "Line",
  steep_meridian_deg: "Meridian",
});

/** All quantities as record kinds, in the order they are taken. */
export const QUANTITIES = SLUGS.map((slug) => `reading.${slug}`);

/** All readings after surgery as record kinds, in the order of a visit. */
export const FOLLOW_UPS = AFTER.map((slug) => `followup.${slug}`);

/** @param {string} kind */
export const isFollowUp = (kind) => kind.startsWith("followup.");

/** @param {string} kind */
export const slugOf = (kind) => kind.replace("reading.", "").replace("followup.", "after_");

/**
 * Return the kind named in an address, or null.
 *
 * @param {string | undefined} slug
 * @returns {string | null}
 */
export function kindOfSlug(slug) {
  const after = `followup.${slug?.replace(/^after_/, "")}`;
  if (slug?.startsWith("after_")) return FOLLOW_UPS.includes(after) ? after : null;
  return SLUGS.includes(slug ?? "") ? `reading.${slug}` : null;
}

/**
 * Return what a quantity is called: "White-to-white".
 *
 * @param {string} kind
 * @returns {string}
 */
export function quantityLabel(kind) {
  const found = kindNamed(kind);
  return found.quantity_label ?? found.title;
}

/** @param {string} kind */
export const isOptional = (kind) => kindNamed(kind).optional === 1;

/** @param {string} kind */
export const isFurther = (kind) => FURTHER.includes(slugOf(kind));

/**
 * Return a field of a kind.
 *
 * @param {string} kind
 * @param {string} field
 * @returns {any}
 */
export function fieldOf(kind, field) {
  return kindNamed(kind).fields[field];
}

/**
 * Return the choices of a field: what is recorded, and its words.
 *
 * @param {string} kind
 * @param {string} field
 * @returns {[string, string][]}
 */
export function choicesOf(kind, field) {
  return /** @type {[string, string][]} */ (kindNamed(kind).fields[field]?.choices ?? []);
}

/**
 * Return the questions of a quantity, given the answers so far.
 *
 * @param {string} kind
 * @param {Record<string, any>} body recorded answers so far
 * @returns {Part[]}
 */
export function partsOf(kind, body) {
  return askedFields(kind)
    .filter((field) => ASKED_WHEN[field]?.(body) ?? true)
    .map((field) => partOf(kind, field));
}

/**
 * Return the answers that have only one possibility, which nobody is asked.
 *
 * @param {string} kind
 * @returns {Record<string, string>}
 */
export function constantsOf(kind) {
  const names = Object.keys(kindNamed(kind).fields);
  const fixed = names.filter((name) => choicesOf(kind, name).length === 1);
  return Object.fromEntries(fixed.map((name) => [name, choicesOf(kind, name)[0]?.[0] ?? ""]));
}

/** @param {string} kind */
function askedFields(kind) {
  const listed = FIELDS[slugOf(kind)];
  if (listed) return listed;
  const constant = constantsOf(kind);
  const asked = Object.keys(kindNamed(kind).fields).filter((name) => !(name in constant));
  return asked.filter((name) => !["taken", "typed", "implant"].includes(name));
}

/**
 * @param {string} kind
 * @param {string} field
 * @returns {Part}
 */
function partOf(kind, field) {
  const { type, label, absent } = fieldOf(kind, field);
  const how = /** @type {Part["type"]} */ (PART_TYPES[type] ?? "device");
  const part = { field, type: how, label, group: GROUPS[field] ?? label };
  return absent === 1 ? { ...part, optional: 1 } : part;
}
