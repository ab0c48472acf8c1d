/** Which eye an address names: one of two, never the one that happens to come first. */
import assert from "node:assert/strict";
import { it } from "node:test";
import { eyeFrom, eyeOf } from "../../../static/ui/eyes.js";

it("names the right and the left eye", () => {
  assert.deepEqual(["R", "L"].map(eyeOf), ["R", "L"]);
});

it("takes nothing else for an eye", () => {
  for (const text of ["", "r", "OD", "R ", undefined]) {
    assert.equal(eyeFrom(text), null);
    assert.throws(() => eyeOf(text), /names no eye/);
  }
});
