/** The working's address carries the plan in view, and its formulas their subscripts. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { wishesFrom, workingHref } from "../../../static/steps/working_link.js";
import { pieces } from "../../../static/ui/working_steps.js";

const LENS = { model: "Model A-t", sphere_cD: -975, cylinder_cD: 0, axis_deg: null, length_um: 12600 };

test("a recommended lens needs no more than person and eye", () => {
  assert.equal(workingHref("p", "R", { choice: null, target: null }), "#/working/p/R");
});

test("a lens taken by hand and a target come back as they went", () => {
  const target = { sphere_cD: -50, cylinder_cD: 0, axis_deg: null };
  const [, , , , asked] = workingHref("p", "L", { choice: LENS, target }).split("/");
  assert.deepEqual(wishesFrom(asked), { choice: LENS, target, surgical_change: null });
});

test("an address cut short asks for nothing", () => {
  assert.deepEqual(wishesFrom("%7B%22choice"), {});
  assert.deepEqual(wishesFrom("%E0%A4%A"), {});
  assert.deepEqual(wishesFrom(undefined), {});
});

test("what stands below the line is every second piece", () => {
  assert.deepEqual(pieces("F_c = F_s (I − V F_s)"), ["F", "c", " = F", "s", " (I − V F", "s", ")"]);
  assert.deepEqual(pieces("J0, J45"), ["J0, J45"]);
});
