/** A surgery to be corrected: the form starts as the record stands, and a reason is asked for. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { amendedIn, reasonProblems, typedOf } from "../../../static/steps/surgery_amend.js";
import { bodyOf, problemsOf } from "../../../static/steps/surgery_body.js";

const LENS = { model: "Model A-t", sphere_cD: -1000, cylinder_cD: -250, axis_deg: 15, length_um: 12600 };
const ORDER = { id: "a".repeat(64), approval: "b".repeat(64) };
const BODY = {
  operated: "2026-10-20", lens: LENS, serial: "TI-7", order: ORDER.id, approval: ORDER.approval,
  incision_meridian_deg: 180, final_axis_deg: 14, operator: "Dr S. Verrill", event: "none", note: null,
};
const PLAIN = { model: "Model B", sphere_cD: 50, cylinder_cD: 0, axis_deg: null, length_um: 12100 };
const OTHER = {
  ...BODY, lens: PLAIN, serial: null, incision_meridian_deg: null, final_axis_deg: null,
  event: "damaged", note: "Torn at loading; a second one was used",
};

describe("a surgery to be corrected", () => {
  for (const [what, body] of Object.entries({ "the ordered lens": BODY, "another lens": OTHER })) {
    it(`is the same record again where nothing is changed: ${what}`, () => {
      const typed = typedOf({ id: "c".repeat(64), body }, LENS);
      assert.deepEqual(problemsOf(typed, LENS), []);
      assert.deepEqual(bodyOf(typed, LENS, ORDER), body);
    });
  }

  it("keeps its whole lens where the order is no longer known", () => {
    const typed = typedOf({ id: "c".repeat(64), body: BODY }, null);
    assert.deepEqual(problemsOf(typed, null), []);
    assert.deepEqual(bodyOf(typed, null, null).lens, LENS);
  });

  it("asks for a reason, which is more than blanks", () => {
    assert.deepEqual(reasonProblems({ reason: "  " }).map(({ field }) => field), ["reason"]);
    assert.deepEqual(reasonProblems({ reason: "Two digits changed places" }), []);
  });

  it("is found only while it stands", () => {
    const fold = { surgeries: [{ id: "c" }] };
    assert.equal(amendedIn(fold, { amends: "c" })?.id, "c");
    assert.equal(amendedIn(fold, { amends: "d" }), undefined);
    assert.equal(amendedIn(fold, {}), undefined);
  });
});
