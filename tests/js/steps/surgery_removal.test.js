/** A removal that was recorded: found by what took the lens out, corrected and withdrawn by its author. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { amendedRemoval, problemsOfRemoval, removalRecord, removalsIn, typedOfRemoval } from "../../../static/steps/surgery_removal.js";

const LENS = { id: "c", next: "out", in_eye: 0, body: { operated: "2026-10-20", serial: "TI7A" } };
const BODY = {
  ...{ implant: "c", operated: "2026-10-29", serial: "TI7A", serial_reason: null },
  ...{ operator: "Dr S. Verrill", why: "cells", note: null },
};
const OUT = { id: "out", payload: { kind: "surgery.explanted", author: "u-verrill", wall: "2026-10-29T10:00:00Z", body: BODY } };

/** @param {object} typed @param {object[]} [entries] @returns {any} */
const model = (typed, entries = [OUT]) => ({ typed, entries, fold: { surgeries: [LENS] } });
const fields = (/** @type {any[]} */ problems) => problems.map(({ field }) => field);

describe("a removal on record", () => {
  it("is the record that took the lens out, and no exchange", () => {
    assert.deepEqual(removalsIn(model({})), [{ lens: LENS, removal: OUT }]);
    const exchanged = { ...OUT, payload: { ...OUT.payload, kind: "surgery.implanted" } };
    assert.deepEqual(removalsIn(model({}, [exchanged])), []);
    assert.equal(amendedRemoval(model({ amends: "another" })), undefined);
  });

  it("is corrected with every field as it stands, and a reason", () => {
    const typed = typedOfRemoval(/** @type {any} */ (OUT));
    assert.deepEqual(fields(problemsOfRemoval(model(typed), LENS)), ["reason"]);
    const made = removalRecord(model({ ...typed, why: "patient", reason: "She asked for it" }), LENS);
    assert.deepEqual(made, { kind: "surgery.explanted", replaces: "out", reason: "She asked for it", body: { ...BODY, why: "patient" } });
  });

  it("is withdrawn with a reason alone", () => {
    const typed = { amends: "out", how: "withdraw" };
    assert.deepEqual(fields(problemsOfRemoval(model(typed), LENS)), ["reason"]);
    const made = removalRecord(model({ ...typed, reason: "The other eye was meant" }), LENS);
    assert.deepEqual(made, { kind: "record.void", reason: "The other eye was meant", body: { target: "out" } });
  });
});
