/** Which lens lies in an eye, which one a removal is recorded of, and what was asked about it. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { askedIn, lensInEye, lensToTakeOut } from "../../../static/steps/lens_in_eye.js";

const [OLDER, NEWER, GONE] = [{ id: "a", in_eye: 1 }, { id: "b", in_eye: 1 }, { id: "c", in_eye: 0 }];

describe("the lens in an eye", () => {
  it("is the one that was not taken out", () => {
    assert.equal(lensInEye({ surgeries: [GONE, NEWER] }), NEWER);
    assert.equal(lensToTakeOut({ surgeries: [GONE, NEWER] }), NEWER);
  });

  it("is none where none is left", () => {
    assert.equal(lensInEye({ surgeries: [GONE] }), null);
    assert.equal(lensToTakeOut({ surgeries: [GONE] }), null);
  });

  it("is not told where two stand, and the older one can be said to have been taken out", () => {
    assert.equal(lensInEye({ surgeries: [OLDER, NEWER] }), null);
    assert.equal(lensToTakeOut({ surgeries: [OLDER, NEWER] }), OLDER);
  });
});

const ask = (/** @type {string} */ text, /** @type {object} */ more = {}) => ({
  ...{ text, author: "u-ambler", wall: `2026-11-${text.length}T08:00:00.000Z`, urgent: 0, answered: 0 },
  ...more,
});
const WISH = ask("a wish of the person");
const PRESSURE = ask("pressure, 38 mmHg", { urgent: 1, author: "u-fenn" });

describe("what was asked about it", () => {
  it("the newest is said, since the first", () => {
    const later = ask("the same, asked once more");
    const said = { author: "u-ambler", wall: WISH.wall, text: later.text, urgent: false };
    assert.deepEqual(askedIn({ can_decide: 1, asked: [WISH, later] }), said);
  });

  it("what should not wait speaks, whatever was asked before it or since", () => {
    const said = { author: "u-fenn", wall: PRESSURE.wall, text: PRESSURE.text, urgent: true };
    assert.deepEqual(askedIn({ can_decide: 1, asked: [PRESSURE, WISH] }), said);
    assert.deepEqual(askedIn({ can_decide: 1, asked: [WISH, PRESSURE] }), said);
  });

  it("nothing is said where nothing waits, or nobody can decide", () => {
    assert.equal(askedIn(null), null);
    assert.equal(askedIn({ can_decide: 1, asked: [ask("pressure", { urgent: 1, answered: 1 })] }), null);
    assert.equal(askedIn({ can_decide: 0, asked: [PRESSURE] }), null);
  });
});
