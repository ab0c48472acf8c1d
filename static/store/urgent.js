/**
 * Which records here are urgent, while the app is open: the exchange sends their chains first.
 *
 * Only ids, so that it may stand in memory in the clear; the calculation says anew which they are
 * whenever the app opens.
 */

/** @type {ReadonlySet<string>} */
let ids = new Set();

/** @param {Iterable<string>} urgent */
export function holdUrgent(urgent) {
  ids = new Set(urgent);
}

/** @param {string} id */
export const isUrgent = (id) => ids.has(id);
