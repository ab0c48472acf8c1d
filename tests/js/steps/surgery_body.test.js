/** What was typed about a surgery: nothing is taken over that nobody said. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { bodyOf, isToric, problemsOf } from "../../../static/steps/surgery_body.js";

const LENS = { model: "Model A-t", sphere_cD: -1000, cylinder_cD: -250, axis_deg: 15, length_um: 12600 };
const ORDER = { id: "a".repeat(64), approval: "b".repeat(64) };
const SAME = {
  operated: "2026-10-20", operator: "Dr S. Verrill", label: "same", serial_known: "yes", serial: " TI-7 ",
  event: "none", incision_meridian_deg: "180", final_axis_deg: "14",
};
const OTHER = { ...SAME, label: "other", model: "Model B", sphere_cD: "-9.50", cylinder_cD: "0", length_um: "12.10" };

describe("a surgery", () => {
  it("asks for everything, the comparison of the label included, while nothing is said", () => {
    const fields = problemsOf({}, LENS).map(({ field }) => field);
    assert.deepEqual(fields, ["operated", "operator", "label", "serial_known", "event"]);
  });

  it("takes the ordered lens only where the label was said to agree", () => {
    assert.deepEqual(problemsOf(SAME, LENS), []);
    const body = bodyOf(SAME, LENS, ORDER);
    assert.deepEqual([body.lens, body.serial, body.order, body.approval], [LENS, "TI-7", ORDER.id, ORDER.approval]);
    assert.deepEqual([body.incision_meridian_deg, body.final_axis_deg], [180, 14]);
  });

  it("takes what the label says instead, with no axis for a spherical lens", () => {
    assert.deepEqual(problemsOf(OTHER, LENS), []);
    const { lens, final_axis_deg } = bodyOf(OTHER, LENS, ORDER);
    assert.deepEqual(lens, { model: "Model B", sphere_cD: -950, cylinder_cD: 0, axis_deg: null, length_um: 12100 });
    assert.equal(final_axis_deg, null);
  });

  it("asks for the whole label where no order is known, and for a sign", () => {
    const fields = problemsOf({ ...SAME, label: "" }, null).map(({ field }) => field);
    assert.deepEqual(fields, ["model", "sphere_cD", "cylinder_cD", "length_um"]);
    const [problem] = problemsOf({ ...OTHER, sphere_cD: "9.50" }, LENS);
    assert.equal(problem?.field, "sphere_cD");
    for (const cylinder_cD of ["−2.50", "-0.50", "+2.50"]) {
      assert.equal(isToric({ ...OTHER, cylinder_cD }, LENS), true, cylinder_cD);
      assert.deepEqual(problemsOf({ ...OTHER, cylinder_cD }, LENS).map(({ field }) => field), ["axis_deg"]);
    }
    for (const cylinder_cD of ["0", "0.00", ""]) assert.equal(isToric({ ...OTHER, cylinder_cD }, LENS), false);
  });

  it("asks for a note on anything unusual", () => {
    const [problem] = problemsOf({ ...SAME, event: "reloaded" }, LENS);
    assert.equal(problem?.field, "note");
  });
});
