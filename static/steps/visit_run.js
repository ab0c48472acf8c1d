/**
 * One visit after surgery while it goes on: what was kept of each eye, and what was said of light
 * and devices, which is asked once and said back at each reading. It lives in memory alone: after
 * a lock or half an hour it is asked anew.
 *
 * @import { Eye } from "../ui/eyes.js"
 * @import { Part } from "../ui/quantities.js"
 * @typedef {{ id: string, instant: string, sentence: string }} Kept
 * @typedef {{ kept: Map<string, Kept>, last: Kept | null, fold: any }} EyeRun `fold` of the eye, as last calculated
 * @typedef {{ person: string, touched: number, said: Record<string, string>, eyes: Record<Eye, EyeRun> }} Visit
 */
import { onLock } from "../store/vault.js";
import { FOLLOW_UPS } from "../ui/quantities.js";

/** After so long without a reading, another visit has begun. Our own figure. */
const OVER_MS = 30 * 60_000;
/** Counted once a year, and by another machine: offered at the end of a visit, not asked on the way. */
const ELSEWHERE = "followup.endothelial_count";

/** @type {Visit | null} */
let visit = null;

onLock(() => {
  visit = null;
});

/** @returns {EyeRun} */
const noRun = () => ({ kept: new Map(), last: null, fold: null });

/**
 * Return the visit of a person that goes on, or a new one.
 *
 * @param {string} person
 * @returns {Visit}
 */
export function visitOf(person) {
  if (visit?.person !== person || Date.now() - visit.touched > OVER_MS) {
    visit = { person, touched: Date.now(), said: {}, eyes: { R: noRun(), L: noRun() } };
  }
  return visit;
}

/**
 * Return the quantities of a visit in their order; a lens without a cylinder has no axis to be seen.
 *
 * @param {any} surgery of the lens in the eye, or null where it is not known yet
 * @returns {string[]}
 */
export function kindsOfVisit(surgery) {
  const isSpherical = surgery?.body.lens.cylinder_cD === 0;
  return FOLLOW_UPS.filter(
    (kind) => kind !== ELSEWHERE && !(isSpherical && kind === "followup.axis_seen"),
  );
}

/**
 * Return what comes after a quantity; null at the end.
 *
 * @param {string} kind
 * @param {any} surgery
 * @returns {string | null}
 */
export function nextOfVisit(kind, surgery) {
  const kinds = kindsOfVisit(surgery);
  return kinds[kinds.indexOf(kind) + 1] ?? null;
}

/**
 * Return the name under which an answer is said once a visit, or null for what is asked each time:
 * light is the room's, a device belongs to its quantity.
 *
 * @param {string} kind
 * @param {string} field
 * @returns {string | null}
 */
export function saidOnce(kind, field) {
  if (field === "light") return field;
  return field === "device" ? `device ${kind}` : null;
}

/**
 * Return the answers of a new reading that were said before in this visit.
 *
 * @param {Visit} now
 * @param {string} kind
 * @param {Part[]} parts
 * @returns {Record<string, string>} by field
 */
export function saidBefore({ said }, kind, parts) {
  const found = parts.map(({ field }) => [field, said[saidOnce(kind, field) ?? ""]]);
  return Object.fromEntries(found.filter(([, value]) => value));
}

/**
 * Note a reading of this visit.
 *
 * @param {Visit} now
 * @param {Eye} eye
 * @param {string} kind
 * @param {{ kept: Kept, body: Record<string, any> }} what
 */
export function noteKept(now, eye, kind, { kept, body }) {
  now.touched = Date.now();
  now.eyes[eye].kept.set(kind, kept);
  now.eyes[eye].last = kept;
  for (const [field, value] of Object.entries(body)) {
    const name = saidOnce(kind, field);
    if (name && typeof value === "string") now.said[name] = value;
  }
}
