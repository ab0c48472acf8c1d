/** Who is done with: every eye with a case is closed, and no visit is near. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { restOf } from "../../../static/steps/done_with.js";

const NONE = { readings: [], withdrawn: [], unread: [], surgeries: [], late: null, question: null, urgent: [] };
/** @param {string} state @param {object} [more] @returns {any} */
const eye = (state, more = {}) => ({ ...NONE, state, ...more });
/** @param {string} state @param {string | null} due */
const followed = (state, due) => eye("followed", { surgeries: [{ schedule: { state, due } }] });
const UNTOUCHED = eye("measuring");

test("a declined or cancelled eye is closed, beside one that nobody measured", () => {
  assert.deepEqual(restOf({ R: eye("declined"), L: UNTOUCHED }), { back_on: null });
  assert.deepEqual(restOf({ R: eye("declined"), L: eye("cancelled") }), { back_on: null });
});

test("every other state is open, in either eye", () => {
  const open = ["ready", "queued", "returned", "approved", "stale", "conflict", "ordered", "confirmed", "received", "verified", "implanted"];
  for (const state of open) {
    assert.equal(restOf({ R: eye(state), L: eye("declined") }), null, state);
    assert.equal(restOf({ R: eye("declined"), L: eye(state) }), null, state);
  }
});

test("a reading that was taken, withdrawn or could not be read begins a case", () => {
  for (const name of ["readings", "withdrawn", "unread"]) {
    assert.equal(restOf({ R: eye("measuring", { [name]: [{}] }), L: eye("declined") }), null, name);
  }
});

test("somebody registered and never measured is not done with", () => {
  assert.equal(restOf({ R: UNTOUCHED, L: UNTOUCHED }), null);
});

test("a followed eye waits for no visit that is due, and is wanted 90 days before the next", () => {
  for (const state of ["due", "overdue", "lost"]) {
    assert.equal(restOf({ R: followed(state, "2026-11-01"), L: UNTOUCHED }), null, state);
  }
  // Counted on a calendar: 90 days before 1 June are 3 March.
  assert.deepEqual(restOf({ R: followed("later", "2027-06-01"), L: UNTOUCHED }), { back_on: "2027-03-03" });
  const both = { R: followed("later", "2027-06-01"), L: followed("later", "2028-06-01") };
  assert.deepEqual(restOf(both), { back_on: "2027-03-03" });
  assert.deepEqual(restOf({ R: followed("ended", null), L: eye("declined") }), { back_on: null });
});

test("an urgent reading that nobody answered at the base keeps an eye open", () => {
  const seen = followed("ended", null);
  assert.equal(restOf({ R: { ...seen, urgent: [{ open: 0 }, { open: 1 }] }, L: UNTOUCHED }), null);
  assert.deepEqual(restOf({ R: { ...seen, urgent: [{ open: 0 }] }, L: UNTOUCHED }), { back_on: null });
});

test("what came late and is not answered, and a question of the surgeon, keep an eye open", () => {
  assert.equal(restOf({ R: eye("cancelled", { late: { blocks: 1 } }), L: UNTOUCHED }), null);
  assert.equal(restOf({ R: eye("declined", { question: { answered: 0 } }), L: UNTOUCHED }), null);
  assert.deepEqual(restOf({ R: eye("declined", { question: { answered: 1 } }), L: UNTOUCHED }), { back_on: null });
});
