/**
 * The table kinds.json as values: kinds of records, and the shapes of objects inside them.
 *
 * @typedef {import("./kinds_values.js").Field} Field
 *
 * @typedef {object} Kind one kind of record, as it stands in kinds.json
 * @property {string} title
 * @property {string} subject person, eye, either, site or reference
 * @property {string[]} roles
 * @property {string} signed_by device, desk or either
 * @property {Record<string, Field>} fields
 * @property {string[]} rules
 * @property {string} [quantity_label] of a reading
 * @property {number} [optional] 1 for a reading that a plan can do without
 * @property {string} [unique]
 * @property {number} [replaceable]
 * @property {number} [reason] 1 where each record of the kind gives a reason
 *
 * @typedef {{ title: string, fields: Record<string, Field>, rules: string[] }} Shape
 */

import table from "../../webapp/records/kinds.json" with { type: "json" };
import { BadRecord } from "./errors.js";

/** @type {Readonly<Record<string, Kind>>} */
export const KINDS = Object.freeze(/** @type {any} */ (table.kinds));
/** @type {Readonly<Record<string, Shape>>} */
export const SHAPES = Object.freeze(/** @type {any} */ (table.shapes));

/**
 * The kind of a name.
 *
 * @param {unknown} name
 * @returns {Kind}
 * @throws {BadRecord} the name is not in the closed list
 */
export function kindNamed(name) {
  if (typeof name === "string" && Object.hasOwn(KINDS, name)) return KINDS[name];
  throw new BadRecord("kind", "This kind of record is not known here. Load the newest app.");
}

/**
 * Whether a "device" or the "desk" key may sign records of a kind.
 * @param {string} kindName
 * @param {"device" | "desk"} signer
 */
export function maySign(kindName, signer) {
  return [signer, "either"].includes(KINDS[kindName].signed_by);
}
