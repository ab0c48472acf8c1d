/**
 * A reading as it stands in a row, and as the sentence that is read back.
 *
 * @import { Eye } from "./eyes.js"
 * @import { TemplateResult } from "lit-html"
 * @typedef {{ value: string, unit: string, note: string }} Shown
 * @typedef {Record<string, any>} Body
 */
import { html, nothing } from "lit-html";
import { eyeWord } from "./eyes.js";
import { day } from "./moments.js";
import { cylindrical, cylindricalSaid, said, shown } from "./numbers.js";
import { lowerFirst, withUnit } from "./words.js";
import { choicesOf, fieldOf, partsOf, quantityLabel } from "./quantities.js";

/** @param {Body} body */
const refractionShown = (body) => ({
  value: cylindrical(/** @type {any} */ (body)),
  unit: "D",
  note: planeWords(body).replace("at the glasses, ", ""),
});

/** @type {Record<string, (body: Body) => Shown>} */
const SHOWN = {
  "reading.refraction": refractionShown,
  "reading.cycloplegic_refraction": refractionShown,
  "reading.auto_refraction": refractionShown,
  "reading.earlier_refraction": (body) => ({
    ...refractionShown(body),
    note: `${sourceWords(body)}, ${day(body["dated"])}`,
  }),
  "reading.tomography": (body) => ({
    value: shown(body["kmax_cD"], fieldOf("reading.tomography", "kmax_cD")),
    unit: "D",
    note: mapWords(body, shown),
  }),
  "reading.endothelial_mosaic": (body) => ({
    value: `${body["cv_percent"]} / ${body["hexagonal_percent"]}`,
    unit: "%",
    note: "varying / hexagonal",
  }),
  "reading.keratometry": (body) => ({
    value: curvatures(body, shown).join(" / "),
    unit: body["unit"],
    note: `steep at ${body["steep_meridian_deg"]}`,
  }),
  "reading.chamber_depth": (body) => ({
    value: shown(body["depth_um"], fieldOf("reading.chamber_depth", "depth_um")),
    unit: "mm",
    note: `from ${body["surface"]}`,
  }),
  "reading.angle": (body) =>
    body["method"] === "gonioscopy"
      ? { value: String(body["grade"]), unit: "of 4", note: "gonioscopy" }
      : { value: String(body["angle_deg"]), unit: "°", note: "at the spur" },
};

/** @param {Body} body */
const refractionSaid = (body) =>
  `${cylindricalSaid(/** @type {any} */ (body))}, ${planeWords(body)}`;

/** @type {Record<string, (body: Body) => string>} */
const SAID = {
  "reading.refraction": refractionSaid,
  "reading.cycloplegic_refraction": (body) => `with drops ${refractionSaid(body)}`,
  "reading.auto_refraction": (body) => `by machine ${refractionSaid(body)}`,
  "reading.earlier_refraction": (body) =>
    `earlier ${refractionSaid(body)}, from ${sourceWords(body)}, ${day(body["dated"])}`,
  "reading.tomography": (body) => {
    const kmax = said(body["kmax_cD"], fieldOf("reading.tomography", "kmax_cD"));
    return `Kmax ${kmax} D, ${mapWords(body, said)}`;
  },
  "reading.endothelial_mosaic": (body) =>
    `cell size varies by ${body["cv_percent"]} %, ${body["hexagonal_percent"]} % hexagonal`,
  "reading.keratometry": (body) => {
    const [flat, steep] = curvatures(body, said);
    return `flat ${flat}, steep ${steep} ${body["unit"]}, steep at ${body["steep_meridian_deg"]}`;
  },
  "reading.angle": (body) =>
    body["method"] === "gonioscopy"
      ? `angle grade ${body["grade"]} of 4 by gonioscopy`
      : `angle ${body["angle_deg"]} degrees at the scleral spur`,
};

/**
 * A refraction or an angle after surgery is worded as the one before it.
 *
 * @param {string} kind
 */
const alikeBefore = (kind) => kind.replace("followup.", "reading.");

/**
 * Return a reading as a row shows it.
 *
 * @param {string} kind
 * @param {Body} body
 * @returns {Shown}
 */
export function readingShown(kind, body) {
  const special = SHOWN[kind] ?? SHOWN[alikeBefore(kind)];
  if (special) return special(body);
  const { field, choice } = plainParts(kind, body);
  if (!field) return { value: choice, unit: "", note: "" };
  const number = fieldOf(kind, field);
  const note = choice.toLowerCase().replace(/ \(.*\)$/, "");
  return { value: shown(body[field], number), unit: number.unit, note };
}

/**
 * Return a reading as one sentence with eye, sign word, unit and plane: "Right eye: minus 9.00,
 * cylinder minus 2.50 at 15, at the glasses, vertex 12.0 mm."
 *
 * @param {Eye} eye
 * @param {string} kind
 * @param {Body} body
 * @returns {string}
 */
export function readingSentence(eye, kind, body) {
  const device = body["device"] ? `, ${body["device"]}` : "";
  return `${eyeWord(eye)}: ${saidOf(kind, body)}${device}.`;
}

/**
 * Return a value with its unit beside it, for a row.
 *
 * @param {Shown} reading
 * @returns {TemplateResult}
 */
export function valueWithUnit({ value, unit }) {
  const said = value.replaceAll("−", "minus ").replace("×", "at axis");
  const needsWords = said !== value;
  return html`<span class="t-value">${
    needsWords
      ? html`<span aria-hidden="true">${value}</span><span class="visually-hidden">${said}</span>`
      : value
  }${unit ? html`<span class="unit">${unit}</span>` : nothing}</span>`;
}

/**
 * @param {string} kind
 * @param {Body} body
 */
function saidOf(kind, body) {
  const special = SAID[kind] ?? SAID[alikeBefore(kind)];
  if (special) return special(body);
  const { field, choice } = plainParts(kind, body);
  if (!field) return `${lowerFirst(quantityLabel(kind))} ${lowerFirst(choice)}`;
  const number = fieldOf(kind, field);
  const value = withUnit(said(body[field], number), number.unit);
  return [`${lowerFirst(quantityLabel(kind))} ${value}`, choice.toLowerCase()]
    .filter(Boolean)
    .join(", ");
}

/**
 * Return the number field of a plain quantity, and its choice in words if it has one.
 *
 * @param {string} kind
 * @param {Body} body
 */
function plainParts(kind, body) {
  const parts = partsOf(kind, body);
  const field = parts.find(({ type }) => type === "number")?.field ?? "";
  const asked = parts.find(({ type }) => type === "choice");
  return { field, choice: asked ? choiceWords(kind, asked.field, body[asked.field]) : "" };
}

/**
 * Return a choice as its label says it.
 *
 * @param {string} kind
 * @param {string} field
 * @param {string} value
 * @returns {string}
 */
export function choiceWords(kind, field, value) {
  return choicesOf(kind, field).find(([name]) => name === value)?.[1] ?? "";
}

/** @param {Body} body */
const sourceWords = ({ source }) =>
  lowerFirst(choiceWords("reading.earlier_refraction", "source", source));

/**
 * Return what a map says besides Kmax: difference, grade, warning, and its day if it is an old one.
 *
 * @param {Body} body
 * @param {typeof shown} write
 */
function mapWords({ is_cD, map_grade, device_flag, made_on }, write) {
  const field = fieldOf("reading.tomography", "is_cD");
  const difference = is_cD === null ? "" : `I−S ${write(is_cD, field)}`;
  const graded = map_grade === "not_given" ? "" : `grade ${map_grade}`;
  const warned = device_flag === "warning" ? "device warns" : "";
  const made = made_on ? `map of ${day(made_on)}` : "";
  return [difference, graded, warned, made].filter(Boolean).join(", ");
}

/** @param {Body} body */
function planeWords({ plane, vertex_um }) {
  if (plane === "corneal") return "at the cornea";
  const vertex = shown(vertex_um, { scale: 1000, shown_decimals: 1 });
  return `at the glasses, vertex ${vertex} mm`;
}

/**
 * @param {Body} body
 * @param {typeof shown} write
 */
function curvatures(body, write) {
  const fields =
    body["unit"] === "mm" ? ["flat_radius_um", "steep_radius_um"] : ["flat_cD", "steep_cD"];
  return fields.map((field) => write(body[field], fieldOf("reading.keratometry", field)));
}
