/**
 * The readings of one quantity and eye that still stand, without waiting for the calculation.
 *
 * A reading stands until its own author replaced or withdrew it.
 *
 * @import { Entry } from "../store/journal.js"
 * @import { Eye } from "./eyes.js"
 */

/**
 * @param {Entry[]} entries of one person
 * @param {string} kind
 * @param {Eye} eye
 * @returns {Entry[]} oldest first, by the writing phone's clock
 */
export function liveReadings(entries, kind, eye) {
  const gone = new Set(entries.flatMap(takenBack));
  return entries
    .filter(({ payload }) => payload.kind === kind && payload.eye === eye)
    .filter(({ id, payload }) => !gone.has(`${id} ${payload.author}`))
    .sort((a, b) => (a.payload.wall < b.payload.wall ? -1 : 1));
}

/** @param {Entry} entry */
function takenBack({ payload: { kind, replaces, author, body } }) {
  const targets = [replaces, kind === "record.void" ? body.target : null];
  return targets.filter(Boolean).map((target) => `${target} ${author}`);
}
