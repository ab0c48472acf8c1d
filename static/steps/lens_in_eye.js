/**
 * The lens that lies in an eye now, among all that were ever put into it.
 *
 * @param {any} eye of a fold
 * @returns {any} its surgery; null where there is none, or more than one stands
 */
export function lensInEye(eye) {
  const inEye = lensesInEye(eye);
  return inEye.length === 1 ? inEye[0] : null;
}

/**
 * The lens that a removal can be recorded of: the one in the eye; where the record of an older surgery
 * came late, the oldest of them, of which nobody has said yet how it came out.
 *
 * @param {any} eye of a fold
 * @returns {any} its surgery; null where there is none
 */
export const lensToTakeOut = (eye) => lensesInEye(eye)[0] ?? null;

/** @param {any} eye of a fold, whose surgeries are oldest first @returns {any[]} */
const lensesInEye = ({ surgeries }) => surgeries.filter((/** @type {any} */ { in_eye }) => in_eye !== 0);

/**
 * Return what is asked about the lens in an eye and no decision has answered, oldest first.
 *
 * @param {any} exchange of an eye's fold, null without a lens
 * @returns {any[]}
 */
export const openAsks = (exchange) =>
  (exchange?.asked ?? []).filter((/** @type {{ answered: number }} */ { answered }) => !answered);

/**
 * Return the newest that was asked about the lens in an eye and nobody has decided on, and since when
 * it waits; a wish says nothing of what should not wait.
 *
 * @param {any} exchange of an eye's fold, null without a lens
 */
export function askedIn(exchange) {
  const open = exchange?.can_decide ? openAsks(exchange) : [];
  const urgent = open.filter((one) => one.urgent);
  const [first, last] = urgent.length > 0 ? [urgent[0], urgent.at(-1)] : [open[0], open.at(-1)];
  return last ? { author: last.author, wall: first.wall, text: last.text, urgent: urgent.length > 0 } : null;
}
