/** Which eyes wait for a surgeon, in which order, and which ask once more. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { addressOf, asksAgain, caseKey, hasLens, queueOf } from "../../../static/steps/queue_rows.js";

/** @param {string} state @param {object} [more] @returns {any} */
const summary = (state, more = {}) => ({
  state,
  ...{ missing: [], wanted: [], worst: null, question: null, refraction: null, mark: state },
  ...{ sentAt: "2026-11-20T10:00:00Z", decidedAt: null, isAtBase: true, checked: [] },
  ...more,
});

/** @param {string} id @param {any} right @param {any} [left] @returns {any} */
const person = (id, right, left = summary("measuring")) => ({
  id,
  name: id,
  summary: { basis: "", eyes: { R: right, L: left } },
});

/** @param {"stop" | "caution" | "note"} level @param {string} [code] */
const worst = (level, code = "D02.x") => ({ worst: { level, title: level, code } });

/** @param {any[]} rows */
const named = (rows) => rows.map(({ person: { id }, eye }) => `${id}.${eye}`);

const NOBODY_SEEN = new Map();

describe("a surgeon's queue", () => {
  it("puts the worst finding first, then the longest wait", () => {
    const people = [
      person("note", summary("queued", worst("note"))),
      person("late", summary("queued", { ...worst("caution"), sentAt: "2026-11-22T10:00:00Z" })),
      person("early", summary("queued", { ...worst("caution"), sentAt: "2026-11-21T10:00:00Z" })),
      person("stop", summary("stale", worst("stop"))),
      person("clean", summary("queued")),
    ];
    const { waiting } = queueOf(people, NOBODY_SEEN);
    assert.deepEqual(named(waiting), ["stop.R", "early.R", "late.R", "note.R", "clean.R"]);
  });
  it("shows each eye for itself, and neither one that is still being measured", () => {
    const { waiting, decided } = queueOf(
      [person("a", summary("queued"), summary("approved")), person("b", summary("ready"))],
      NOBODY_SEEN,
    );
    assert.deepEqual([named(waiting), named(decided)], [["a.R"], ["a.L"]]);
  });
  it("keeps a contradiction among the eyes that wait, and a question apart", () => {
    const { waiting, asked } = queueOf(
      [person("a", summary("conflict")), person("b", summary("returned"))],
      NOBODY_SEEN,
    );
    assert.deepEqual([named(waiting), named(asked)], [["a.R"], ["b.R"]]);
  });
  it("puts an eye that was asked about among those that wait, by when it was asked, until it is decided", () => {
    const asked = (/** @type {string} */ wall) => ({ asked: { author: "u-ambler", wall, text: "angle" } });
    const { waiting, decided } = queueOf(
      [
        person("later", summary("exchange_considered", { ...asked("2026-11-25T10:00:00Z"), sentAt: "2026-01-01T10:00:00Z" })),
        person("first", summary("followed", asked("2026-11-24T10:00:00Z"))),
        person("watched", summary("exchange_considered", { asked: null })),
      ],
      NOBODY_SEEN,
    );
    assert.deepEqual([named(waiting), named(decided)], [["first.R", "later.R"], ["watched.R"]]);
    assert.deepEqual(waiting.map(addressOf), ["#/exchange/first/R", "#/exchange/later/R"]);
    assert.equal(addressOf(/** @type {any} */ (decided[0])), "#/exchange/watched/R");
    // What the base calculates otherwise is read on the page that says so.
    assert.equal(addressOf(/** @type {any} */ ({ ...decided[0], differs: true })), "#/case/watched/R");
  });
  it("puts an exchange asked for what cannot wait before everything else", () => {
    const asked = (/** @type {boolean} */ urgent) => ({ asked: { author: "u-ambler", wall: "2026-11-25T10:00:00Z", text: "", urgent } });
    const { waiting } = queueOf(
      [
        person("stop", summary("queued", { ...worst("stop"), sentAt: "2026-11-01T10:00:00Z" })),
        person("wish", summary("exchange_considered", { ...worst("caution"), ...asked(false) })),
        person("touch", summary("exchange_considered", { ...worst("caution"), ...asked(true) })),
      ],
      NOBODY_SEEN,
    );
    assert.deepEqual(named(waiting), ["touch.R", "stop.R", "wish.R"]);
  });
  it("brings an operated eye back while something stops it (E1: a very high vault)", () => {
    const { waiting, decided } = queueOf(
      [
        person("high", summary("followed", worst("stop"))),
        person("fine", summary("followed", worst("caution"))),
        person("weighed", summary("exchange_considered", worst("stop"))),
      ],
      NOBODY_SEEN,
    );
    assert.deepEqual([named(waiting), named(decided)], [["high.R"], ["fine.R", "weighed.R"]]);
    assert.deepEqual(waiting.map(addressOf), ["#/person/high"]);
  });
  it("shows what was decided last first", () => {
    const { decided } = queueOf(
      [
        person("old", summary("declined", { decidedAt: "2026-11-20T10:00:00Z" })),
        person("new", summary("approved", { decidedAt: "2026-11-24T10:00:00Z" })),
      ],
      NOBODY_SEEN,
    );
    assert.deepEqual(named(decided), ["new.R", "old.R"]);
  });
  it("brings an ordered eye back when a reading came after the order", () => {
    const people = [person("a", summary("ordered", worst("stop", "decisions.late_evidence")))];
    const { waiting, decided } = queueOf(people, NOBODY_SEEN);
    assert.deepEqual([named(waiting), named(decided)], [["a.R"], []]);
  });
  it("leaves to the desk what the supplier confirmed otherwise", () => {
    const people = [person("a", summary("ordered", worst("stop", "decisions.supplier_differs")))];
    const { waiting, decided } = queueOf(people, NOBODY_SEEN);
    assert.deepEqual([named(waiting), named(decided)], [[], ["a.R"]]);
  });
  it("leaves an ordered eye alone whose stop was answered in the approval", () => {
    const people = [person("a", summary("ordered", worst("stop", "D03.shallow")))];
    const { waiting, decided } = queueOf(people, NOBODY_SEEN);
    assert.deepEqual([named(waiting), named(decided)], [[], ["a.R"]]);
  });
  it("brings an approved eye back to the top when the base calculates otherwise", () => {
    const people = [
      person("a", summary("queued", worst("caution"))),
      person("b", summary("approved", { checked: ["request", "approval"] })),
    ];
    const { waiting, decided } = queueOf(people, NOBODY_SEEN, [
      { id: "approval", result: "differs" },
      { id: "request", result: "agrees" },
    ]);
    assert.deepEqual([named(waiting), named(decided)], [["b.R", "a.R"], []]);
    assert.equal(waiting[0]?.differs, true);
  });
  it("takes a calculation that the base does not know for no difference", () => {
    const people = [person("b", summary("approved", { checked: ["approval"] }))];
    const { decided } = queueOf(people, NOBODY_SEEN, [{ id: "approval", result: "unknown_core" }]);
    assert.equal(decided[0]?.differs, false);
  });
  it("says what changed since its surgeon looked, and nothing of an eye never looked at", () => {
    const people = [
      person("a", summary("queued", { mark: "new" })),
      person("b", summary("queued", { mark: "same" })),
      person("c", summary("queued", { mark: "new" })),
    ];
    const seen = new Map([
      [caseKey("a", "R"), { mark: "old" }],
      [caseKey("b", "R"), { mark: "same" }],
    ]);
    const { waiting } = queueOf(people, seen);
    assert.deepEqual(
      waiting.map(({ hasChanged }) => hasChanged),
      [true, false, false],
    );
  });
  it("leaves out a person whose records are still being read", () => {
    const unread = /** @type {any} */ ({ id: "a", name: "a", summary: null });
    assert.deepEqual(queueOf([unread], NOBODY_SEEN), { waiting: [], asked: [], decided: [] });
  });
});

describe("an eye that waits anyway", () => {
  it("doesn't ask a second time", () => {
    const row = /** @type {any} */ ({ differs: true, summary: summary("queued") });
    assert.equal(asksAgain(row), false);
  });
  it("knows the eyes whose refraction is from before their surgery", () => {
    /** @param {string} state @returns {any} */
    const row = (state) => ({ summary: summary(state) });
    const states = ["implanted", "followed", "exchange_considered", "approved", "queued"];
    assert.deepEqual(states.map((state) => hasLens(row(state))), [true, true, true, false, false]);
  });
});
