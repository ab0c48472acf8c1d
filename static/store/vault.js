/**
 * The keys of this phone while it is unlocked: in this tab's memory, never on the disk.
 *
 * Locked, there is no data key here: nothing stored can be read, and nothing can be signed.
 *
 * @import { Box } from "./box.js"
 * @typedef {{ userId: string, kid: string, dataKey: CryptoKey, signingKey: CryptoKey }} Keys
 */
import { openBox, sealBox } from "./box.js";
import { announce } from "./changes.js";

/** The phone is locked: somebody has to say who is working, with the passphrase. */
export class Locked extends Error {
  name = "Locked";

  constructor() {
    super("This phone is locked. Say who is working; what was typed is kept.");
  }
}

/** @type {Keys | null} */
let keys = null;
/** @type {Set<() => void>} */
const listeners = new Set();

/**
 * Take the keys of the person who works now into memory.
 *
 * @param {Keys} opened none of them can be exported
 */
export function holdKeys(opened) {
  keys = opened;
}

/** @returns {Keys | null} */
export const heldKeys = () => keys;

/** Forget the keys; whoever shows something of a patient hears of it first, at once. */
export function lock() {
  if (!keys) return;
  keys = null;
  for (const listener of listeners) listener();
  announce({ why: "identity", persons: [] });
}

/**
 * Call `listener`, at once, whenever the phone is locked; return how to stop.
 *
 * @param {() => void} listener
 * @returns {() => void}
 */
export function onLock(listener) {
  listeners.add(listener);
  return () => void listeners.delete(listener);
}

/**
 * Seal a value for its place on the disk.
 *
 * @param {string} place
 * @param {unknown} value
 * @returns {Promise<Box>}
 * @throws {Locked}
 */
export async function sealed(place, value) {
  return sealBox(dataKey(), place, value);
}

/**
 * Return what was sealed at a place.
 *
 * @param {string} place
 * @param {Box} box
 * @returns {Promise<any>}
 * @throws {Locked | BoxBroken}
 */
export async function opened(place, box) {
  return openBox(dataKey(), place, box);
}

/**
 * Return the phone's data key.
 *
 * @returns {CryptoKey}
 * @throws {Locked}
 */
export function dataKey() {
  if (!keys) throw new Locked();
  return keys.dataKey;
}
