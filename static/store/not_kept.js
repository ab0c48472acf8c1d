/** Saying that a record was not saved: why, and what to do about it. */
import { BadRecord } from "../records/errors.js";

export const NOBODY =
  "Nobody is signed in on this phone, so this was not saved. Sign in, then save again.";
export const KEY_ENDED =
  "This phone's key was revoked or closed, so this was not saved. Sign in with the network for a " +
  "new key, or write the value on paper.";
export const KEY_REPLACED =
  "Whoever signs has had a new key on this phone meanwhile, so this was not saved. Type the " +
  "passphrase again.";
export const PUT_OFF =
  "This person's records lie at the base only, so this was not saved. Fetch them on the person's " +
  "page first, with the network.";
const FULL =
  "This phone's storage is full, so this was not saved. What you typed is still here: free some " +
  "space (photos, other apps), then save again.";
export const NOT_WRITTEN =
  "This phone could not write to its storage, so this was not saved. What you typed is still " +
  "here: save again; if it fails again, write the value on paper.";
export const NOT_CONFIRMED =
  "This phone wrote the value but could not read it back. Look in the list of readings first: if " +
  "it is not there, save again.";

/** It was not (surely) saved; `message` says why and what to do, `field` which field is meant, if one is. */
export class NotKept extends Error {
  name = "NotKept";

  /**
   * @param {string} message
   * @param {{ cause?: unknown, field?: string | null }} [more]
   */
  constructor(message, { cause, field = null } = {}) {
    super(message, { cause });
    this.field = field;
  }
}

/**
 * Return any failure to save as the sentence a person can act on.
 *
 * @param {any} error
 * @returns {NotKept}
 */
export function asNotKept(error) {
  if (error instanceof NotKept) return error;
  if (error instanceof BadRecord) {
    return new NotKept(error.message, { cause: error, field: error.field });
  }
  const message = error.name === "QuotaExceededError" ? FULL : NOT_WRITTEN;
  return new NotKept(message, { cause: error });
}
