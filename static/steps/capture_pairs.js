/**
 * Two numbers of one reading that cannot stand together, said while the second is typed: at the
 * device, and not when everything else has been answered as well.
 */
import { kindNamed } from "../records/kinds.js";
import { RULES } from "../records/kinds_rules.js";

/** Rules of a record between two numbers that are both whole once the second is typed. */
const PAIRS = ["flat_not_steeper", "meridional_power"];
const UNASKED = { flat_cD: null, flat_radius_um: null, steep_radius_um: null };

/**
 * Return what is wrong with one answer beside those before it, or null.
 *
 * @param {string} kind
 * @param {Record<string, any>} answers given so far, in recorded units
 * @param {string} field the answer being given
 * @returns {string | null}
 */
export function besideOthers(kind, answers, field) {
  if (answers[field] === undefined) return null;
  const { rules } = kindNamed(kind);
  const problems = PAIRS.filter((name) => rules.includes(name)).map((name) =>
    RULES[name]?.({ ...UNASKED, ...answers }, {}),
  );
  return problems.find((problem) => problem?.[0] === field)?.[1] ?? null;
}
