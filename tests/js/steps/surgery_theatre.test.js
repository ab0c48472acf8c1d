/** A surgery beside its check in theatre: named where it fits, otherwise the reason is written. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { aroundOf, theatreBody, theatreFields, theatreProblems, theatreTyped } from "../../../static/steps/surgery_theatre.js";

const [LABEL, CHECK] = ["a".repeat(64), "c".repeat(64)];
const ENTRIES = [
  { id: LABEL, received: 1, state: /** @type {const} */ ("ok"), payload: { body: { first: { serial: "SER9" } } } },
  { id: CHECK, received: 2, state: /** @type {const} */ ("ok"), payload: { wall: "2026-11-29T07:40:00.000Z", body: { label: LABEL, device_day: "2026-11-29" } } },
];
const CONFIRMED = { theatre: { label: LABEL, check: { id: CHECK }, confirmed: { id: "d".repeat(64) } } };
const ALONE = { theatre: { ...CONFIRMED.theatre, confirmed: null } };
const SAME = { theatre: "yes", serial_known: "yes", serial: "ser 9", operated: "2026-11-29" };
const fieldsOf = (/** @type {any[]} */ problems) => problems.map(({ field }) => field);

describe("a surgery after a check by two people", () => {
  const around = aroundOf(CONFIRMED, undefined, ENTRIES);

  it("names it only where that was said, and where serial number and day are those of the check", () => {
    assert.deepEqual(theatreProblems(SAME, around), []);
    assert.deepEqual(theatreBody(SAME, around), { theatre_check: CHECK, unchecked_reason: null });
    assert.deepEqual(theatreBody({ ...SAME, theatre: "" }, around).theatre_check, null);
  });

  it("asks, and takes no answer for granted", () => {
    assert.deepEqual(fieldsOf(theatreProblems({ ...SAME, theatre: "" }, around)), ["theatre"]);
  });

  it("stops at another serial number, or none, and at another day", () => {
    assert.deepEqual(fieldsOf(theatreProblems({ ...SAME, serial: "SER8" }, around)), ["serial"]);
    assert.deepEqual(fieldsOf(theatreProblems({ ...SAME, serial_known: "no", serial: "" }, around)), ["serial_known"]);
    assert.deepEqual(fieldsOf(theatreProblems({ ...SAME, operated: "2026-11-28" }, around)), ["operated"]);
  });

  it("without it asks why, and records that alone", () => {
    const typed = { ...SAME, theatre: "no" };
    assert.deepEqual(fieldsOf(theatreProblems(typed, around)), ["unchecked_reason"]);
    const why = { ...typed, unchecked_reason: "The tablet had no power" };
    assert.deepEqual(theatreProblems(why, around), []);
    assert.deepEqual(theatreBody(why, around), { theatre_check: null, unchecked_reason: "The tablet had no power" });
  });

  it("is the same again in a correction", () => {
    const body = theatreBody(SAME, around);
    const amended = aroundOf({ theatre: null }, { body }, ENTRIES);
    assert.deepEqual(theatreBody({ ...SAME, ...theatreTyped(body) }, amended), body);
  });
});

describe("a surgery without a whole check", () => {
  it("asks why where one person alone has checked a released box", () => {
    const around = aroundOf(ALONE, undefined, ENTRIES);
    assert.equal(around.check, null);
    assert.deepEqual(fieldsOf(theatreProblems(SAME, around)), ["unchecked_reason"]);
  });

  it("asks nothing where no box was released", () => {
    const around = aroundOf({ theatre: null }, undefined, []);
    assert.deepEqual(theatreProblems({}, around), []);
    assert.deepEqual(theatreBody({}, around), { theatre_check: null, unchecked_reason: null });
    assert.equal(typeof theatreFields({ kind: "surgery.implanted", typed: {}, problems: [], type: () => undefined }, around), "symbol");
  });
});
