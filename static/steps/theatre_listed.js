/**
 * Who is on a list of theatre, by the short accounts of the people here.
 *
 * @import { PersonRow } from "../store/people.js"
 * @import { Eye } from "../ui/eyes.js"
 * @import { EyeSummary } from "./casefile.js"
 * @typedef {{ row: PersonRow, eye: Eye, listed: NonNullable<EyeSummary["theatre"]> }} Listed
 * @typedef {{ row: PersonRow, eye: Eye, operated: NonNullable<EyeSummary["operated"]> }} Operated
 */
import { EYES } from "../ui/eyes.js";

/**
 * Return who is on a list, by day and place; where it is not ready, it says why.
 *
 * @param {PersonRow[]} rows
 * @returns {Listed[]}
 */
export function listedIn(rows) {
  const all = rows.flatMap((row) =>
    EYES.flatMap((eye) => {
      const listed = row.atBase ? null : row.summary?.eyes[eye].theatre;
      return listed ? [{ row, eye, listed }] : [];
    }),
  );
  const key = (/** @type {Listed} */ { listed, row }) => [listed.day, listed.place ?? "", row.name].join("\n");
  return all.sort((a, b) => (key(a) < key(b) ? -1 : key(a) > key(b) ? 1 : 0));
}

/**
 * Return which eyes were operated on a day, the first one first, whether or not they were listed.
 *
 * @param {PersonRow[]} rows
 * @param {string} day
 * @returns {Operated[]}
 */
export function operatedOn(rows, day) {
  const all = rows.flatMap((row) =>
    EYES.flatMap((eye) => {
      const operated = row.atBase ? null : row.summary?.eyes[eye].operated;
      return operated?.day === day ? [{ row, eye, operated }] : [];
    }),
  );
  return all.sort((a, b) => (a.operated.wall < b.operated.wall ? -1 : 1));
}
