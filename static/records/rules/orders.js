/**
 * Rules of an order on its way, and of its box up to theatre; twin of webapp/records/rules/orders.py.
 *
 * @typedef {import("../kinds_rules.js").Values} Values
 * @typedef {import("../kinds_rules.js").Problem} Problem
 * @typedef {import("../kinds_rules.js").Rule} Rule
 */

/** A confirmation says why it is another one where it replaces one. @type {Rule} */
function correctionIffCorrects({ correction, corrects }) {
  if ((correction === null) === (corrects.length === 0)) return null;
  if (correction === null) return ["correction", "Say why there is another confirmation."];
  return ["correction", "This is the first confirmation: there is none before it to correct."];
}

/** @type {Rule} */
const expectedNotBeforeConfirmed = (body) => notBefore(body, "confirmed_on", "it was confirmed");

/** @type {Rule} */
const expectedNotBeforeShipped = (body) => notBefore(body, "shipped_on", "it was shipped");

/** A second reading is another person's; a box agrees only by two people. @type {Rule} */
function secondIsAnother({ second, second_person: person, outcome }, { author }) {
  if ((second === null) !== (person === null)) {
    return ["second_person", "A second reading needs the person who made it, and only then."];
  }
  if (person === author) {
    return ["second_person", "The second person must be somebody else than the first."];
  }
  if (outcome === "agrees" && second === null) {
    return ["second", "A box agrees only after a second person has read its label."];
  }
  return null;
}

/** A check in theatre agrees only with person, eye and box. @type {Rule} */
function theatreOutcome(body) {
  const notImplanted = body.outcome === "not_implanted";
  if ((body.why !== null) !== notImplanted) {
    return ["why", "Say why the lens is not implanted, and only then."];
  }
  if (notImplanted && body.note === null) {
    return ["note", "Write in a few words why the lens is not implanted."];
  }
  if (notImplanted) return null;
  const agrees = body.outcome === "agrees";
  if (agrees && body.person_confirmed.length < 2) {
    return [
      "person_confirmed",
      "Confirm who it is by two things, such as name and birth date.",
    ];
  }
  for (const field of agrees ? ["label", "eye", "printed_same"] : ["label"]) {
    if (body[field] === null) {
      return [field, "A box is compared only where all of it was looked at. This is missing."];
    }
  }
  if (!agrees || body.code !== null || body.trace !== null) return null;
  return ["trace", "Scan the code of the box, or read lot, serial number and date off it."];
}

/**
 * Dates are written so that their texts sort as the days do.
 *
 * @param {Values} body
 * @param {string} field
 * @param {string} what
 * @returns {Problem}
 */
function notBefore(body, field, what) {
  if (body.expected_on === null || body.expected_on >= body[field]) return null;
  return ["expected_on", `It is expected before ${what}. Check both days.`];
}

/** @type {Readonly<Record<string, Rule>>} */
export const ORDERS = {
  correction_iff_corrects: correctionIffCorrects,
  expected_not_before_confirmed: expectedNotBeforeConfirmed,
  expected_not_before_shipped: expectedNotBeforeShipped,
  second_is_another: secondIsAnother,
  theatre_outcome: theatreOutcome,
};
