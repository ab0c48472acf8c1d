/** Two numbers of one reading that cannot stand together, said before anything is kept. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { besideOthers } from "../../../static/steps/capture_pairs.js";

const SWAPPED = "The flat K is stronger than the steep K. Check which is which.";

/** @param {Record<string, any>} answers @param {string} [field] */
const curves = (answers, field = "steep_cD") => besideOthers("reading.keratometry", answers, field);

describe("two numbers that cannot stand together", () => {
  it("a flat K above the steep K is said while the steep K is typed", () => {
    assert.equal(curves({ unit: "D", flat_cD: 4450, steep_cD: 4300 }), SWAPPED);
    assert.equal(curves({ unit: "D", flat_cD: 4300, steep_cD: 4450 }), null);
    assert.equal(curves({ unit: "D", flat_cD: 4300, steep_cD: 4300 }), null);
  });

  it("a number that is not whole yet is not judged", () => {
    assert.equal(curves({ unit: "D", flat_cD: 4450 }), null);
  });

  it("the flat K can be put right while the wrong steep K still stands", () => {
    assert.equal(curves({ unit: "D", flat_cD: 4500, steep_cD: 4450 }, "flat_cD"), null);
  });

  it("radii are judged the other way round", () => {
    const radii = { unit: "mm", flat_radius_um: 7580, steep_radius_um: 7850 };
    assert.match(curves(radii, "steep_radius_um") ?? "", /flat radius is shorter/);
    assert.equal(curves({ ...radii, flat_radius_um: 7850, steep_radius_um: 7580 }, "steep_radius_um"), null);
  });

  it("sphere and cylinder are judged together, also after surgery", () => {
    for (const kind of ["reading.refraction", "followup.refraction"]) {
      const sum = (/** @type {number} */ cylinder) =>
        besideOthers(kind, { sphere_cD: -3000, cylinder_cD: cylinder }, "cylinder_cD");
      assert.match(sum(-600) ?? "", /Sphere and cylinder together/);
      assert.equal(sum(-500), null);
    }
  });

  it("a quantity of one number has nothing beside it", () => {
    assert.equal(besideOthers("reading.white_to_white", { width_um: 11900 }, "width_um"), null);
  });
});
