/** Findings of both eyes on one list: what stands open beside a lens that is in the eye. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { bothEyes } from "../../../static/steps/both_eyes.js";
import { foldedByCause } from "../../../static/ui/findings.js";

const IN_EYE = [{ in_eye: 1 }];
const OLD = { code: "D35.map", level: "caution", cause: "age", title: "Old readings", text: "old" };
const STOP = { code: "D24.same", level: "stop", cause: "same", title: "The same twice", text: "same" };
const FELLOW = { code: "D31.vault", level: "caution", cause: "fellow", title: "Fellow", text: "fellow" };
const LENS = { code: "theatre.no_check", level: "caution", cause: "check", title: "No check", text: "check" };

/** @param {any[]} right @param {any[]} left @param {any[][]} surgeries */
const open = (right, left, [ofRight, ofLeft]) =>
  foldedByCause(
    bothEyes(/** @type {any} */ ({
      R: { findings: right, surgeries: ofRight },
      L: { findings: left, surgeries: ofLeft },
    })),
    true,
  ).open.map(({ title }) => title);

describe("findings of both eyes", () => {
  it("cautions about a plan stand open until there is a lens in the eye", () => {
    assert.deepEqual(open([OLD], [], [[], []]), ["Right eye: Old readings"]);
    assert.deepEqual(open([OLD], [], [IN_EYE, []]), []);
  });

  it("what the lens itself says stands open, and so does a stop", () => {
    assert.deepEqual(open([OLD, STOP, FELLOW, LENS], [], [IN_EYE, []]), [
      ...["Right eye: The same twice", "Right eye: Fellow", "Right eye: No check"],
    ]);
  });

  it("what concerns both is said once, and stands open while one of them is to be planned", () => {
    assert.deepEqual(open([OLD], [OLD], [IN_EYE, []]), ["Both eyes: Old readings"]);
    assert.deepEqual(open([OLD], [OLD], [IN_EYE, IN_EYE]), []);
  });

  it("a title that says both eyes by itself says it once", () => {
    const twice = { ...STOP, title: "Both eyes have the same values" };
    assert.deepEqual(open([twice], [twice], [[], []]), ["Both eyes have the same values"]);
  });

  it("a lens that was taken out leaves the eye to be planned", () => {
    assert.deepEqual(open([OLD], [], [[{ in_eye: 0 }], []]), ["Right eye: Old readings"]);
  });
});
