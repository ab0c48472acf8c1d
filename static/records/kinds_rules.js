/**
 * Rules between the fields of one record, by name; twin of webapp/records/kinds_rules.py.
 *
 * A rule takes the object that it is listed with in kinds.json and the whole payload, both with
 * every field already checked alone. It gives the field and the sentence of what is wrong, or null.
 * The rules themselves stand in rules/, one subject a file.
 *
 * @typedef {Record<string, any>} Values
 * @typedef {[field: string, message: string] | null} Problem
 * @typedef {(values: Values, payload: Values) => Problem} Rule
 */

import { DECISIONS } from "./rules/decisions.js";
import { ORDERS } from "./rules/orders.js";
import { PERSON } from "./rules/person.js";
import { READINGS } from "./rules/readings.js";
import { REFERENCE } from "./rules/reference.js";
import { SURGERY } from "./rules/surgery.js";

/** @type {Readonly<Record<string, Rule>>} */
export const RULES = {
  ...PERSON,
  ...READINGS,
  ...DECISIONS,
  ...ORDERS,
  ...SURGERY,
  ...REFERENCE,
};
