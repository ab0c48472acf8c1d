/** What a second person in theatre may confirm: only a first check that is there and counts. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { missingSecond, passphraseIsNext } from "../../../static/steps/theatre_model.js";

const SAID = { second: "u-verrill", seat: "head", seen: true, axisSaid: true, passphrase: "long enough" };

/** @param {unknown} check @param {object} instead @returns {any} */
const model = (check, instead) => ({ answer: { lens: { axis_deg: 10 }, theatre: { check } }, ...SAID, ...instead });
/** @param {unknown} check @param {object} [instead] */
const missing = (check, instead = {}) => missingSecond(model(check, instead));

describe("the second person in theatre", () => {
  it("confirms nothing until the first check was read, nor one that counts no more", () => {
    assert.equal(missing(null), "The first check is not there yet");
    assert.equal(missing({ id: "c1" }), null);
  });

  it("sees the marks, hears the axis and types the passphrase first", () => {
    assert.match(missing({ id: "c1" }, { seen: false }) ?? "", /marks/);
    assert.match(missing({ id: "c1" }, { axisSaid: false }) ?? "", /axis/);
    assert.match(missing({ id: "c1" }, { passphrase: "" }) ?? "", /passphrase/);
  });

  it("finds the passphrase's field open whichever came last, the ticks or the first check's reading", () => {
    const isNext = (/** @type {unknown} */ check, instead = {}) =>
      passphraseIsNext(model(check, { step: "second", passphrase: "", ...instead }));
    assert.equal(isNext(null), false);
    assert.equal(isNext({ id: "c1" }), true);
    assert.equal(isNext({ id: "c1" }, { seen: false }), false);
    assert.equal(isNext({ id: "c1" }, { step: "box" }), false);
    assert.equal(isNext({ id: "c1" }, { passphrase: "l" }), false);
  });
});
