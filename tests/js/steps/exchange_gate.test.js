/** What stands between a surgeon and a decision about a lens in an eye. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { decisionBody } from "../../../static/steps/exchange_decide.js";
import { CHECKS, decisionHindrance, findingsFor, isChecked, offered, signedFor } from "../../../static/steps/exchange_gate.js";

const SHOWN = { evidence: ["r1"], followups: ["f1"], findings: [] };
const WITHOUT = { ...SHOWN, findings: [{ code: "E4.surprise", level: "caution" }] };
const finding = (/** @type {string} */ code, level = "caution") => ({ code, level, fixed: 0, title: code });
const SURE = CHECKS.map((check) => /** @type {[string, string]} */ ([`sure.${check}`, "sure"]));

/** @param {object} [more] @param {[string, string][]} [said] @returns {any} */
const model = (more = {}, said = [...SURE, ["decision", "exchange"]]) => ({
  ...{ eye: "R", identity: { user: { id: "u-verrill" } }, isRead: true, isOldPage: false },
  ...{ acknowledged: new Map(), reasons: new Map(), said: new Map(said), digest: "a", digestWithout: "b" },
  casefile: {
    fold: { eyes: { R: { exchange: { can_decide: 1, decisions: [] } } } },
    entries: [{ id: "f1", payload: { author: "u-ambler" } }, { id: "x", payload: { author: "u-verrill" } }],
  },
  plan: {
    ...{ findings: [], shown: SHOWN, shown_without: WITHOUT },
    alternatives: [{ code: "observe", title: "Watch it", possible: 1 }, { code: "turn", title: "Turn it", possible: 0 }],
  },
  ...more,
});
/** @param {any} one */
const words = (one) => decisionHindrance(one)?.words ?? null;

describe("a decision about a lens", () => {
  it("waits for all four checks, for a choice, and for the page's end", () => {
    assert.equal(isChecked(model({}, SURE.slice(1))), false);
    assert.deepEqual(decisionHindrance(model({}, SURE.slice(1))), { words: "Answer 1 check first", place: "sure.scan" });
    assert.equal(words(model({}, SURE)), "Choose what is to be done");
    assert.equal(words(model({ isRead: false })), "Read to the end first");
    assert.equal(words(model()), null);
  });

  it("operates on nothing that is not sure, and may watch all the same", () => {
    /** @type {[string, string][]} */
    const unsure = [...SURE.slice(0, 3), ["sure.eye", "not_sure"]];
    assert.equal(words(model({}, [...unsure, ["decision", "exchange"]])), "Be sure of all four checks first");
    assert.equal(words(model({}, [...unsure, ["decision", "observe"]])), null);
  });

  it("is not made by who measured, nor on an old page, nor where nothing is to be decided", () => {
    const mine = model();
    mine.casefile.entries[0].payload.author = "u-verrill";
    assert.equal(words(mine), "You measured this eye");
    assert.equal(words(model({ isOldPage: true })), "Start the new version first");
    const none = model();
    none.casefile.fold.eyes.R.exchange = null;
    assert.equal(words(none), "Nothing is to be decided here now");
  });

  it("is not made beside one of the same surgeon that stands", () => {
    const own = { live: 1, author: "u-verrill" };
    const beside = (/** @type {any} */ one) => {
      const made = model();
      made.casefile.fold.eyes.R.exchange.decisions = [one];
      return words(made);
    };
    assert.equal(beside(own), "Take your decision back first");
    assert.equal(beside({ ...own, live: 0 }), null);
    assert.equal(beside({ ...own, author: "u-marsh" }), null);
  });

  it("answers every request that is open, by its id", () => {
    const asked = [{ id: "b", answered: 0 }, { id: "c", answered: 1 }, { id: "a", answered: 0 }];
    const plan = { ...model().plan, implant: { id: "s1" } };
    const made = model({ plan }, [...SURE, ["decision", "observe"]]);
    assert.equal("answers" in decisionBody(made), false);
    made.casefile.fold.eyes.R.exchange.asked = asked;
    assert.deepEqual(decisionBody(made).answers, ["a", "b"]);
    assert.deepEqual(decisionBody(made).shown, WITHOUT);
  });

  it("answers for the new lens's findings only with an exchange", () => {
    const plan = { ...model().plan, findings: [finding("E4.surprise"), finding("E4.new_vault"), finding("n", "note")] };
    const codes = (/** @type {any} */ one) => findingsFor(one).map(({ code }) => code);
    assert.deepEqual(codes(model({ plan })), ["E4.surprise", "E4.new_vault", "n"]);
    assert.deepEqual(codes(model({ plan }, [...SURE, ["decision", "observe"]])), ["E4.surprise", "n"]);
    assert.equal(words(model({ plan })), "See 2 cautions first");
    assert.deepEqual(signedFor(model(), "observe"), { shown: WITHOUT, digest: "b" });
    assert.deepEqual(signedFor(model(), "exchange"), { shown: SHOWN, digest: "a" });
  });

  it("offers what is possible, and an exchange only where there is a lens to sign", () => {
    const codes = (/** @type {any} */ one) => offered(one).map(([code]) => code);
    assert.deepEqual(codes(model()), ["exchange", "observe"]);
    const { plan } = model();
    assert.deepEqual(codes(model({ plan: { ...plan, shown: null } })), ["observe"]);
  });
});
