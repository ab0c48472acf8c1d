/** What stands between a surgeon and an approval, and where on the page it is. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import {
  approvalHindrance,
  checkCode,
  distinct,
  isDecidable,
  isOld,
  isOver,
  ownApproval,
  ownDecision,
  placeOf,
  READ_ON,
  reasonOf,
} from "../../../static/steps/case_gate.js";

const WHY = "Repeat scans agree; the person knows the risk.";

/** @param {string} code @param {"stop" | "caution" | "note"} level @param {0 | 1} [fixed] @returns {any} */
const finding = (code, level, fixed = 0) => ({ code, level, fixed, title: code, cause: code });

/** @param {object} [more] @returns {any} */
const eye = (more = {}) => ({
  ...{ state: "queued", evidence: ["r1"], request: { id: "q1", author: "u-ambler" } },
  ...{ approval: null, approvals: [], declines: [], contradicting: [], late: null, ...more },
});

/** @param {any[]} findings @param {object} [more] @param {any} [fold] @returns {any} */
const model = (findings, more = {}, fold = eye()) => ({
  ...{ eye: "R", identity: { user: { id: "u-verrill" } }, isRead: true },
  ...{ acknowledged: new Map(), reasons: new Map(), checks: { request: null, approval: null } },
  casefile: {
    fold: { eyes: { R: fold } },
    entries: [{ id: "r1", payload: { author: "u-ambler" } }],
  },
  plan: { findings, shown: { lens: {} } },
  ...more,
});

/** @param {any} one */
const words = (one) => approvalHindrance(one)?.words ?? null;

describe("an approval", () => {
  it("waits for the new version where that calculates otherwise, and for no other", () => {
    assert.equal(words(model([], { isOldPage: true })), "Start the new version first");
    const asked = /** @type {[boolean, string | null][]} */ ([[true, "b"], [true, "a"], [true, null], [false, "b"]]);
    assert.deepEqual(asked.map(([ready, core]) => isOld(ready, core, "a")), [true, false, false, false]);
  });
  it("can be given when nothing is in the way", () => {
    assert.equal(approvalHindrance(model([finding("n", "note")])), null);
  });
  it("waits until each caution was seen by name", () => {
    const two = [finding("D02.a", "caution"), finding("D03.b", "caution")];
    assert.deepEqual(approvalHindrance(model(two)), {
      words: "See 2 cautions first",
      place: "answer-D02-a",
    });
    const acknowledged = new Map([["D02.a", "2026-11-25T10:00:00Z"]]);
    assert.deepEqual(approvalHindrance(model(two, { acknowledged })), {
      words: "See 1 caution first",
      place: "answer-D03-b",
    });
  });
  it("asks one acknowledgement for a caution that two readings cause", () => {
    const twice = [finding("D16.a", "caution"), finding("D16.a", "caution")];
    assert.equal(words(model(twice)), "See 1 caution first");
  });
  it("waits for a reason for each stop before it asks about cautions", () => {
    const both = [finding("D02.a", "caution"), finding("D03.b", "stop")];
    assert.deepEqual(approvalHindrance(model(both)), {
      words: "Give 1 reason first",
      place: "answer-D03-b",
    });
    const reasons = new Map([["D03.b", WHY]]);
    assert.equal(words(model(both, { reasons })), "See 1 caution first");
  });
  it("takes no word or two and no blanks for a reason", () => {
    for (const reason of ["ok", "   ", "        ok        "]) {
      const reasons = new Map([["D03.b", reason]]);
      assert.equal(words(model([finding("D03.b", "stop")], { reasons })), "Give 1 reason first");
    }
    assert.equal(reasonOf(model([], { reasons: new Map([["a", `  ${WHY} `]]) }), "a"), WHY);
  });
  it("is impossible under a fixed stop, whatever was written", () => {
    const reasons = new Map([["D04.a", WHY]]);
    const fixed = model([finding("D04.a", "stop", 1)], { reasons });
    assert.equal(words(fixed), "A stop stands that nobody can override");
  });
  it("is impossible for whoever measured or sent the eye", () => {
    const asSender = model([], { identity: { user: { id: "u-ambler" } } });
    assert.equal(words(asSender), "You measured or sent this eye");
    const other = eye({ request: { id: "q1", author: "u-quill" } });
    assert.equal(words(model([], {}, other)), null);
    const asMeasurer = model([], { identity: { user: { id: "u-ambler" } } }, other);
    assert.equal(words(asMeasurer), "You measured or sent this eye");
    const entries = [{ id: "r1", payload: { author: "u-quill" } }];
    const casefile = { fold: { eyes: { R: eye() } }, entries };
    assert.equal(words(model([], { casefile })), null);
    const asOnlySender = model([], { casefile, identity: { user: { id: "u-ambler" } } });
    assert.equal(words(asOnlySender), "You measured or sent this eye");
  });
  it("is impossible while the base calculates otherwise", () => {
    const checks = { request: { id: "q1", result: "differs", text: "" }, approval: null };
    assert.deepEqual(approvalHindrance(model([], { checks })), {
      words: "The base calculates otherwise",
      place: "base-check",
    });
    const unknown = { request: { id: "q1", result: "unknown_core", text: "" }, approval: null };
    assert.equal(words(model([], { checks: unknown })), null);
  });
  it("waits for the end of the page, after everything else", () => {
    const unread = model([finding("D02.a", "caution")], { isRead: false });
    assert.equal(words(unread), "See 1 caution first");
    assert.equal(approvalHindrance(model([], { isRead: false }))?.place, READ_ON);
  });
  it("needs a lens", () => {
    assert.equal(words(model([], { plan: { findings: [], shown: null } })), "No lens to approve");
  });
  it("says of a decided eye what it is, and whether the base has it", () => {
    const at = (/** @type {number | null} */ received) => eye({ state: "approved", approval: { received } });
    assert.equal(words(model([], {}, at(7))), "Approved");
    assert.equal(words(model([], {}, at(null))), "Approved, not yet at the base");
    assert.equal(words(model([], {}, eye({ request: null }))), "Not sent by the camp yet");
    assert.match(words(model([], {}, eye({ state: "conflict" }))) ?? "", /^Decisions contradict/);
  });
});

describe("findings ask for an answer", () => {
  it("only while a decision is awaited", () => {
    const states = ["queued", "stale", "approved", "ordered", "conflict", "returned", "declined"];
    assert.deepEqual(
      states.filter((state) => isDecidable(eye({ state }))),
      ["queued", "stale"],
    );
    assert.equal(isDecidable(eye({ request: null })), false);
  });
  it("once a code, at a place of its own", () => {
    const three = [finding("a.b", "caution"), finding("a.b", "caution"), finding("c", "stop")];
    assert.deepEqual(
      distinct(three, "caution").map((one) => placeOf(one)),
      ["answer-a-b"],
    );
  });
});

/** @param {string} id @param {string} author @param {string[]} [codes] */
const approval = (id, author, codes = []) => ({ id, author, stale: codes.map((code) => ({ code })) });

describe("taking an approval back", () => {
  it("is offered to each of two surgeons for their own, whosever is the newer", () => {
    const approvals = [approval("a1", "u-verrill"), approval("a2", "u-marsh")];
    const fold = eye({ state: "conflict", approvals });
    assert.equal(ownApproval(fold, "u-verrill").id, "a1");
    assert.equal(ownApproval(fold, "u-marsh").id, "a2");
    assert.equal(ownApproval(fold, "u-other"), null);
  });
  it("is offered for one that fell, and not for one that is over", () => {
    const fell = eye({ state: "stale", approvals: [approval("a1", "u-verrill", ["evidence.added"])] });
    assert.equal(ownApproval(fell, "u-verrill").id, "a1");
    const over = eye({ state: "stale", approvals: [approval("a1", "u-verrill", ["withdrawn"])] });
    assert.equal(ownApproval(over, "u-verrill"), null);
    assert.equal(isOver(approval("a1", "u", ["ordered"])), true);
  });
  it("is offered after the order too: a surgeon who sees an error must be able to say so", () => {
    const ordered = eye({ state: "ordered", approvals: [approval("a1", "u-verrill")] });
    assert.equal(ownApproval(ordered, "u-verrill").id, "a1");
  });
  it("is offered for a refusal to whoever refused, where there is no approval of theirs", () => {
    const declined = eye({ state: "declined", declines: [{ id: "d1", author: "u-marsh" }] });
    assert.equal(ownDecision(declined, "u-marsh").id, "d1");
    assert.equal(ownDecision(declined, "u-verrill"), null);
  });
});

describe("the check code", () => {
  it("is the first sixteen characters of the digest in groups of four", () => {
    assert.equal(checkCode("0123456789abcdef0000"), "0123 4567 89ab cdef");
    assert.equal(checkCode(""), "");
  });
});
