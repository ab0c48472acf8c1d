/**
 * What is being typed, kept at each key press so that a killed or reloaded app loses nothing.
 *
 * The writes are strict: a killed Chromium was seen to lose relaxed ones, and a draft that comes
 * back after its value was saved would invite saving it twice. They keep their order: sealing takes
 * a moment, and an older text must not be written over a newer one.
 */
import { withDatabase, writeStrictly } from "./idb.js";
import { withLock } from "./locks.js";
import { orBroken } from "./rows.js";
import { opened, sealed } from "./vault.js";

/**
 * @typedef {{ key: string, value: unknown, saved: string }} Draft
 */

/** What is being typed is on the screen and not on the disk; the message says what to do. */
export class DraftNotKept extends Error {
  name = "DraftNotKept";

  /** @param {unknown} cause */
  constructor(cause) {
    const isFull = /** @type {Error} */ (cause).name === "QuotaExceededError";
    const why = isFull ? "This phone's storage is full" : "This phone could not write to its storage";
    super(`${why}: what you are typing is on this page and nowhere else.`, { cause });
  }
}

/**
 * Keep what has been typed so far under a key such as `capture/ID/R/reading.refraction`.
 *
 * @param {string} key
 * @param {unknown} value plain data
 * @throws {DraftNotKept | Locked}
 */
export async function keepDraft(key, value) {
  const saved = new Date().toISOString();
  const sealing = sealed(placeOf(key), value);
  await withLock(placeOf(key), async () => writeDraft({ key, saved, box: await sealing }));
}

/** @param {{ key: string, saved: string, box: import("./box.js").Box }} row */
async function writeDraft(row) {
  try {
    await writeStrictly(["drafts"], (transaction) => transaction.objectStore("drafts").put(row));
  } catch (error) {
    throw new DraftNotKept(error);
  }
}

/**
 * Return what was typed, or null.
 *
 * @param {string} key
 * @returns {Promise<any>}
 */
export async function readDraft(key) {
  const draft = await withDatabase((database) => database.get("drafts", key));
  return draft ? opened(placeOf(key), draft.box) : null;
}

/**
 * Forget a draft, because it was saved or thrown away.
 *
 * @param {string} key
 */
export async function dropDraft(key) {
  await withLock(placeOf(key), () =>
    writeStrictly(["drafts"], (transaction) => transaction.objectStore("drafts").delete(key)),
  );
}

/**
 * Return every draft that opens; one changed from outside keeps no page from being shown.
 *
 * @returns {Promise<Draft[]>}
 */
export async function openDrafts() {
  const rows = await withDatabase((database) => database.getAll("drafts"));
  const drafts = await Promise.all(rows.map(({ key, saved, box }) =>
    orBroken(async () => ({ key, saved, value: await opened(placeOf(key), box) }))));
  return drafts.filter((draft) => draft !== null);
}

/**
 * Return how many drafts there are, also on a locked phone; while there is one, the app does not
 * change its version.
 *
 * @returns {Promise<number>}
 */
export function countDrafts() {
  return withDatabase((database) => database.count("drafts"));
}

/** @param {string} key */
const placeOf = (key) => `drafts/${key}`;
