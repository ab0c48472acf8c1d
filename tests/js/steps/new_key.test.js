/** The yearly reminder: after more than a year since the key was confirmed, by no guess. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { isDue } from "../../../static/steps/new_key.js";

const SINCE = "2025-11-25T05:00:00.000Z";
const at = (/** @type {string} */ instant) => Date.parse(instant);
/** @param {any} state */
const standing = (state, since = /** @type {string | null} */ (SINCE)) => ({ kid: "k", state, since });

test("a key is due a year after it was confirmed, not a moment earlier", () => {
  assert.equal(isDue(standing("confirmed"), at("2026-11-25T05:00:00.000Z")), false);
  assert.equal(isDue(standing("confirmed"), at("2026-11-25T05:00:00.001Z")), true);
});

test("a key that waits, has ended, or was never heard of is not called old", () => {
  const late = at("2028-01-01T00:00:00.000Z");
  for (const state of ["waiting", "revoked", "closed", "unknown"]) assert.equal(isDue(standing(state), late), false);
  assert.equal(isDue(standing("confirmed", null), late), false);
  assert.equal(isDue(null, late), false);
});
