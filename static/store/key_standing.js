/**
 * How the base judges the keys of this device: waiting for their words, confirmed, revoked, closed.
 *
 * @typedef {object} Standing
 * @property {string} kid
 * @property {"waiting" | "confirmed" | "revoked" | "closed" | "unknown"} state
 * @property {string | null} since
 */
import { keepFact, readFact } from "./meta.js";

const ENDED = new Set(["revoked", "closed"]);

/**
 * Return what the base last said of a key, or null.
 *
 * @param {string} kid
 * @returns {Promise<Standing | null>}
 */
export function standingOf(kid) {
  return readFact(`key-${kid}`);
}

/**
 * Keep what the base says of a key; nothing brings an ended key back, not even an older base.
 *
 * @param {Standing} heard
 * @returns {Promise<Standing>} how the key stands now
 */
export async function keepStanding(heard) {
  const before = await standingOf(heard.kid);
  if (isEnded(before)) return /** @type {Standing} */ (before);
  await keepFact(`key-${heard.kid}`, heard);
  return heard;
}

/**
 * Say whether a key signs no more.
 *
 * @param {Standing | null} standing
 * @returns {boolean}
 */
export function isEnded(standing) {
  return standing !== null && ENDED.has(standing.state);
}
