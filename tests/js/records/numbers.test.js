/** The number grammar: what static/records/numbers.js promises, by the vectors Python reads too. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { BadRecord } from "../../../static/records/errors.js";
import { parseScaled, serialKey, shownNumber } from "../../../static/records/numbers.js";
import { readVectors } from "./vectors.js";

const vectors = readVectors("numbers");

describe("parseScaled", () => {
  for (const { text, scale, decimals, step, value } of vectors.parsed) {
    it(`reads ${JSON.stringify(text)} in steps of ${step}/${scale}`, () => {
      // Object.is, so that minus zero is not taken for zero.
      assert.ok(Object.is(parseScaled(text, scale, decimals, step), value));
    });
  }
  for (const { text, scale, decimals, step } of vectors.refused) {
    it(`refuses ${JSON.stringify(text)} in steps of ${step}/${scale}`, () => {
      assert.throws(
        () => parseScaled(text, scale, decimals, step, "sphere_cD"),
        (error) => error instanceof BadRecord && error.field === "sphere_cD",
      );
    });
  }
});

describe("shownNumber", () => {
  for (const { value, scale, decimals, signed, text } of vectors.shown) {
    it(`shows ${value}/${scale} as ${text}`, () => {
      assert.equal(shownNumber(value, scale, decimals, signed === 1), text);
    });
  }
  it("is read back as the same number, for every hundredth to 99.99", () => {
    for (let value = -9999; value <= 9999; value += 1) {
      assert.ok(Object.is(parseScaled(shownNumber(value, 100, 2, true), 100, 2, 1), value));
    }
  });
});

describe("serialKey", () => {
  it("drops spaces and letter case of ASCII alone, as both Pythons do", () => {
    assert.equal(serialKey("ti-7 0012 x"), "TI-70012X");
    // As CPython and MicroPython must agree too: tests/flow/test_surgery.py.
    assert.equal(serialKey("t\u0456\u00a0-2\u00df"), "T\u0456\u00a0-2\u00df");
  });
});
