/**
 * The lens that lies in an eye now, among all that were ever put into it.
 *
 * @param {any} eye of a fold
 * @returns {any} its surgery; null where there is none, or more than one stands
 */
export function lensInEye({ surgeries }) {
  const inEye = surgeries.filter((/** @type {any} */ { in_eye }) => in_eye !== 0);
  return inEye.length === 1 ? inEye[0] : null;
}

/**
 * Return what is asked about the lens in an eye and no decision has answered, oldest first.
 *
 * @param {any} exchange of an eye's fold, null without a lens
 * @returns {any[]}
 */
export const openAsks = (exchange) =>
  (exchange?.asked ?? []).filter((/** @type {{ answered: number }} */ { answered }) => !answered);
