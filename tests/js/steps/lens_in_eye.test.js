/** What is said of an eye about whose lens somebody asked: what should not wait, before a wish. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { askedIn } from "../../../static/steps/lens_in_eye.js";

const ask = (/** @type {string} */ text, /** @type {object} */ more = {}) => ({
  ...{ text, author: "u-ambler", wall: `2026-11-${text.length}T08:00:00.000Z`, urgent: 0, answered: 0 },
  ...more,
});
const WISH = ask("a wish of the person");
const PRESSURE = ask("pressure, 38 mmHg", { urgent: 1, author: "u-fenn" });

test("the newest is said, since the first", () => {
  const later = ask("the same, asked once more");
  const said = { author: "u-ambler", wall: WISH.wall, text: later.text, urgent: false };
  assert.deepEqual(askedIn({ can_decide: 1, asked: [WISH, later] }), said);
});

test("what should not wait speaks, whatever was asked before it or since", () => {
  const said = { author: "u-fenn", wall: PRESSURE.wall, text: PRESSURE.text, urgent: true };
  assert.deepEqual(askedIn({ can_decide: 1, asked: [PRESSURE, WISH] }), said);
  assert.deepEqual(askedIn({ can_decide: 1, asked: [WISH, PRESSURE] }), said);
});

test("nothing is said where nothing waits, or nobody can decide", () => {
  assert.equal(askedIn(null), null);
  assert.equal(askedIn({ can_decide: 1, asked: [ask("pressure", { urgent: 1, answered: 1 })] }), null);
  assert.equal(askedIn({ can_decide: 0, asked: [PRESSURE] }), null);
});
