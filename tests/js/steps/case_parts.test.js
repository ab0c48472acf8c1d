/** Parts of the surgeon's page that are pure: what changed, who measured, a lens put together. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { agreementLine, unknownCore } from "../../../static/steps/case_decision.js";
import { firstMissing, freshLens } from "../../../static/steps/case_other.js";
import { whyNone, whyNot } from "../../../static/steps/case_proposed.js";
import { headlineOf, momentsText, sourcesOf } from "../../../static/steps/case_readings.js";
import { newsSince, seenNow } from "../../../static/steps/case_since.js";
import { changedFirst } from "../../../static/steps/case_stale.js";
import { powerText } from "../../../static/ui/power.js";

const LINES = [
  { id: "1", kind: "reading.white_to_white", author: "u-ambler", text: "White-to-white 11.90 mm", wall: "" },
  { id: "2", kind: "plan.approval", author: "u-verrill", text: "Approved", wall: "" },
  { id: "3", kind: "reading.white_to_white", author: "u-ambler", text: "White-to-white 11.72 mm", wall: "" },
];

describe("news of an eye", () => {
  it("are the records of others that came since the last look", () => {
    const before = seenNow({ state: "queued", timeline: LINES.slice(0, 1) }, "m", "2026-11-25");
    assert.deepEqual(
      newsSince(before, { timeline: LINES }, "u-verrill").map(({ id }) => id),
      ["3"],
    );
  });
  it("are none where it was never looked at", () => {
    assert.deepEqual(newsSince(null, { timeline: LINES }, "u-verrill"), []);
  });
});

/** @param {string} text @param {string} taken @param {any} [more] @returns {any} */
const entry = (text, taken, { device = "calliper 2", author = "u-ambler", reason = null } = {}) => ({
  ...{ text, author, reason },
  body: { device, taken },
});

describe("no lens near the top of the page", () => {
  it("says what is missing, or that nothing of the catalogue fits", () => {
    const missing = [{ text: "White-to-white" }, { text: "Chamber depth" }];
    assert.equal(whyNone({ missing }), "None yet. Missing: White-to-white, Chamber depth.");
    assert.match(whyNone({ missing: [] }), /^None: no lens of the catalogue/);
  });
  it("never shows a lens as one to approve while a stop stands that nobody overrides", () => {
    assert.equal(whyNot({ findings: [{ level: "caution" }, { level: "stop", fixed: 1 }] }), "a stop above stands");
    assert.equal(whyNot({ findings: [{ level: "stop", fixed: 0 }] }), "it is not in the catalogue");
  });
});

describe("readings of one quantity", () => {
  it("say the plane above where all of them say the same", () => {
    const entries = [entry("3.05 mm from endothelium", ""), entry("3.05 mm from endothelium", "")];
    assert.equal(headlineOf({ entries, used: { text: "3.05 mm" } }), "3.05 mm from endothelium");
    const [source] = sourcesOf(entries, "3.05 mm from endothelium");
    assert.deepEqual(source?.values, []);
  });
  it("keep each value beside its maker where they differ", () => {
    const entries = [entry("11.60 mm", "a"), entry("11.64 mm", "b"), entry("11.7 mm", "c", { device: "camera" })];
    assert.equal(headlineOf({ entries, used: { text: "11.62 mm" } }), "11.62 mm");
    const sources = sourcesOf(entries, "11.62 mm");
    assert.deepEqual(
      sources.map(({ device, values, times }) => [device, values, times]),
      [
        ["calliper 2", ["11.60 mm", "11.64 mm"], ["a", "b"]],
        ["camera", ["11.7 mm"], ["c"]],
      ],
    );
  });
  it("say a day once", () => {
    const text = momentsText(["2020-03-01T10:00:00", "2020-03-01T10:05:00", "2020-03-02T09:00:00"]);
    assert.equal(text, "1 Mar 2020, 10:00 and 10:05 and 2 Mar 2020, 09:00");
  });
});

const MODELS = [
  { model: "round", toric: 0 },
  { model: "toric", toric: 1 },
];

describe("a lens put together by hand", () => {
  it("carries no power over to another model", () => {
    assert.deepEqual(freshLens(MODELS, "toric"), {
      ...{ model: "toric", sphere_cD: null, cylinder_cD: null, axis_deg: null, length_um: null },
    });
    assert.equal(freshLens(MODELS, "round").cylinder_cD, 0);
  });
  it("names what is not chosen yet, a zero being a choice", () => {
    const [round, toric] = MODELS;
    const lens = { model: "toric", sphere_cD: 0, cylinder_cD: null, axis_deg: null, length_um: null };
    assert.equal(firstMissing(round, { ...lens, sphere_cD: null }), "sphere");
    assert.equal(firstMissing(toric, lens), "cylinder");
    assert.equal(firstMissing(toric, { ...lens, cylinder_cD: -50 }), "axis");
    assert.equal(firstMissing(round, lens), "length");
    assert.equal(firstMissing(round, { ...lens, length_um: 12500 }), null);
  });
});

describe("what was signed beside now", () => {
  it("shows the rows that changed first", () => {
    const rows = [
      { label: "a", was: "1", is: "1" },
      { label: "b", was: "1", is: "2" },
    ];
    assert.deepEqual(
      changedFirst(rows).map(({ label }) => label),
      ["b", "a"],
    );
  });
});

describe("a power in one text", () => {
  it("has its unit before the word sphere, and after the axis", () => {
    assert.equal(powerText({ sphere_cD: -1300, cylinder_cD: 0, axis_deg: null }), "−13.00\u00a0D sphere");
    const toric = { sphere_cD: -900, cylinder_cD: -250, axis_deg: 15 };
    assert.equal(powerText(toric), "−9.00 −2.50\u00a0×\u00a015\u00a0D");
  });
});

describe("the base's own calculation of a plan", () => {
  /** @param {string} result @returns {any} */
  const checked = (result) => ({ checks: { approval: null, request: { result }, hasApproval: false } });
  // lit draws a template, which is an object, and nothing for its symbol of that name.
  it("is said to agree only where it agrees", () => {
    assert.equal(typeof agreementLine(checked("agrees")), "object");
    assert.equal(typeof agreementLine(checked("unknown_core")), "symbol");
    assert.equal(typeof agreementLine(checked("differs")), "symbol");
  });
  it("is said to be impossible where the base does not know the calculation", () => {
    assert.equal(typeof unknownCore(undefined), "symbol");
    const check = { id: "q1", result: /** @type {const} */ ("unknown_core"), text: "Never here" };
    assert.equal(typeof unknownCore(check), "object");
  });
});
