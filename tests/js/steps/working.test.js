/** The working's address carries the plan in view, and its formulas their subscripts. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { wishesFrom, workingHref } from "../../../static/steps/working_link.js";
import { comparatorsFolded, pieces } from "../../../static/ui/working_steps.js";

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

/**
 * @param {any} value a template or a list of them
 * @returns {string} what stands in it, with its tags
 */
function markup(value) {
  if (Array.isArray(value)) return value.map(markup).join("");
  if (typeof value === "symbol") return "";
  if (!value?.strings) return String(value);
  return value.strings.map((/** @type {string} */ text, /** @type {number} */ place) =>
    text + (place < value.values.length ? markup(value.values[place]) : "")).join("");
}

const SHOWN = {
  title: "Published equations, for comparison; they are used nowhere",
  lines: [
    {
      ...{ name: "Regression of 2026", gives: "vault 455 µm", formula: "v = a + b L" },
      inputs: [{ name: "L", text: "12.60 mm" }],
      about: "72 eyes of 44 people, adjusted R² 0.657. Zhu, Front Med 2026 (abstract read)",
    },
  ],
};

test("published equations stand folded, each with its name, its eyes and its source", () => {
  const page = markup(comparatorsFolded(SHOWN));
  const [before = "", folded = ""] = page.split("</summary>");
  assert.match(before, /^<details class="more-findings"><summary>Published equations/);
  assert.doesNotMatch(before, / open/);
  for (const words of ["Regression of 2026: vault 455 µm", "L 12.60 mm", "72 eyes", "Zhu"]) {
    assert.ok(folded.includes(words), words);
    assert.ok(!before.includes(words), words);
  }
});

test("no equation of which an input was not measured, no fold", () => {
  assert.equal(markup(comparatorsFolded({ ...SHOWN, lines: [] })), "");
});
