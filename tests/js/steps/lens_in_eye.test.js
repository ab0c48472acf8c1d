/** Which lens lies in an eye, and which one a removal is recorded of. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { lensInEye, lensToTakeOut } from "../../../static/steps/lens_in_eye.js";

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
