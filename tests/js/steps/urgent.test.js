/** Urgent readings on the phone: when the screen is taken, what is written down, which goes first. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { callsNow, openOnes, problemsOf, toldBody } from "../../../static/steps/urgent_told.js";
import { urgentFirst } from "../../../static/sync/push.js";
import { today } from "../../../static/ui/moments.js";

const item = (/** @type {object} */ more = {}) => ({
  ...{ reading: "a", records: ["a"], implant: "s", open: 1, told: [], values: ["41 mmHg"] },
  ...more,
});

test("a reading that was kept just now takes the screen, whether the base has it or not", () => {
  assert.equal(callsNow({ urgent: [item({ at_base: 1, silent: 0 })] }, "a"), true);
  assert.equal(callsNow({ urgent: [item({ at_base: 0, silent: 1 })] }, "a"), true);
});

test("so does the angle that makes a very high vault urgent", () => {
  assert.equal(callsNow({ urgent: [item({ records: ["vault", "angle"] })] }, "angle"), true);
});

test("another reading, a told one, an answered one, or no calculation does not", () => {
  assert.equal(callsNow({ urgent: [item()] }, "b"), false);
  assert.equal(callsNow({ urgent: [item({ told: [{ whom: "Dr S. Verrill" }] })] }, "a"), false);
  assert.equal(callsNow({ urgent: [item({ open: 0 })] }, "a"), false);
  assert.equal(callsNow(null, "a"), false);
});

test("answered readings are no longer listed", () => {
  assert.deepEqual(openOnes([item({ open: 0 }), item({ reading: "b" })]).map((one) => one.reading), ["b"]);
});

test("who, how and what they said are all asked for", () => {
  assert.deepEqual(problemsOf({}).map(({ field }) => field), ["whom", "how", "text"]);
  assert.deepEqual(problemsOf({ whom: "Dr S. Verrill", how: "phone", text: "  " }).map(({ field }) => field), ["text"]);
  assert.deepEqual(problemsOf({ whom: "Dr S. Verrill", how: "phone", text: "Drops." }), []);
});

test("what was told names the readings nobody was told of, of one lens, sorted", () => {
  const typed = { whom: "Dr S. Verrill", how: "phone", text: "Drops." };
  const items = [
    item({ reading: "c" }),
    item({ reading: "b" }),
    item({ reading: "a", told: [{}] }),
    item({ reading: "d", implant: "other" }),
  ];
  assert.deepEqual(toldBody(items, typed), { implant: "s", readings: ["b", "c"], ...typed, comes_on: null });
});

test("where each was told of before, it is about all of them", () => {
  const typed = { whom: "Dr S. Verrill", how: "phone", text: "Drops." };
  const items = [item({ reading: "b", told: [{}] }), item({ reading: "a", told: [{}] })];
  assert.deepEqual(toldBody(items, typed).readings, ["a", "b"]);
});

test("the chain with an urgent record goes first, and every chain stays in its order", () => {
  const row = (/** @type {string} */ id, /** @type {string} */ kid) => /** @type {any} */ ({ id, kid });
  const rows = [row("1", "old"), row("2", "old"), row("3", "mine"), row("4", "mine"), row("5", "last")];
  const ids = (/** @type {string} */ urgent) =>
    urgentFirst(rows, (id) => id === urgent).map(({ id }) => id);
  assert.deepEqual(ids("4"), ["3", "4", "1", "2", "5"]);
  assert.deepEqual(ids("none"), ["1", "2", "3", "4", "5"]);
});

test("the day on which the eye is seen again is kept with it, and none that is over", () => {
  const typed = { whom: "Dr S. Verrill", how: "phone", text: "Drops.", comes_on: today() };
  assert.deepEqual(problemsOf(typed), []);
  assert.equal(toldBody([item()], typed).comes_on, today());
  assert.deepEqual(problemsOf({ ...typed, comes_on: "2020-01-01" }).map(({ field }) => field), ["comes_on"]);
});

test("a slip in the year of that day is said: the eye would wait for years", () => {
  const typed = { whom: "Dr S. Verrill", how: "phone", text: "Drops." };
  const [year, rest] = [Number(today().slice(0, 4)), today().slice(4)];
  assert.deepEqual(problemsOf({ ...typed, comes_on: `${year + 1}${rest}` }), []);
  assert.deepEqual(problemsOf({ ...typed, comes_on: `${year + 10}${rest}` }).map(({ field }) => field), ["comes_on"]);
});
