/** A contradiction on the surgeon's page: who may settle it, what differs, what is still to say. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { missing } from "../../../static/steps/case_confirm.js";
import { asksForAnswer, hasOwnRecord } from "../../../static/steps/case_late.js";
import { contradictory, differences, maySettle } from "../../../static/steps/case_settle.js";

/** @param {number} length_um */
const shown = (length_um) => ({
  inputs: {
    ...{ refraction: { sphere_cD: -900, cylinder_cD: 0, axis_deg: null }, keratometry: null },
    ...{ chamber_depth_um: 3300, surface: "endothelium", cct_um: 540, diameter_um: 11700 },
    ...{ diameter_kind: "white_to_white", lens_rise_um: null },
  },
  lens: { model: "Model A-s", sphere_cD: -1050, cylinder_cD: 0, axis_deg: null, length_um },
  predicted: { sphere_cD: -10, cylinder_cD: 0, axis_deg: null, mean_um: length_um - 12000, p_in_e4: 7000 },
});
const ONE = { id: "a", author: "u-verrill", wall: "2026-11-25T06:00:00.000Z", shown: shown(12500) };
const OTHER = { id: "b", author: "u-marsh", wall: "2026-11-25T06:30:00.000Z", shown: shown(13000) };
const REFUSED = { id: "c", author: "u-marsh", wall: "2026-11-25T06:30:00.000Z", text: "Too shallow" };

/** @param {object} parts */
const eye = (parts) => ({ state: "conflict", approvals: [ONE, OTHER], declines: [], contradicting: ["a", "b"], ...parts });

describe("who may settle", () => {
  it("is a surgeon who gave none of the decisions", () => {
    assert.equal(maySettle(eye({}), "u-hale"), true);
    assert.equal(maySettle(eye({}), "u-verrill"), false);
    assert.equal(maySettle(eye({}), "u-marsh"), false);
  });
  it("is nobody where nothing contradicts, or where two orders stand", () => {
    assert.equal(maySettle(eye({ state: "approved", contradicting: [] }), "u-hale"), false);
    assert.equal(maySettle(eye({ contradicting: [] }), "u-hale"), false);
  });
});

describe("side by side", () => {
  it("shows the decisions that contradict each other and no other one", () => {
    const fold = eye({ approvals: [ONE, OTHER, { ...ONE, id: "x" }], declines: [REFUSED], contradicting: ["a", "c"] });
    assert.deepEqual(contradictory(fold).map(({ id }) => id), ["a", "c"]);
  });
  it("shows of the values behind two approvals those that differ", () => {
    const rows = differences([ONE, OTHER]);
    assert.deepEqual(rows.map(({ label }) => label), ["Length", "Vault"]);
    assert.deepEqual(rows[0]?.texts, ["12.50\u00a0mm", "13.00\u00a0mm"]);
  });
  it("shows a refusal in its own words", () => {
    assert.equal(differences([ONE, REFUSED])[0]?.texts[1], "Declined: “Too shallow”");
  });
});

describe("what is still to say", () => {
  const words = (/** @type {string} */ text) => new Map([["settle", text]]);
  it("comes one by one, the passphrase last", () => {
    assert.equal(missing({ chosen: null, said: new Map(), typed: "" }, "settle"), "Choose first");
    assert.equal(missing({ chosen: "a", said: words("short"), typed: "" }, "settle"), "Say why first");
    // Five letters, each typed as a letter and its accent: counted as they are kept.
    const few = words("e\u0301".repeat(5));
    assert.equal(missing({ chosen: "a", said: few, typed: "" }, "settle"), "Say why first");
    const reason = words("The longer one would crowd the angle");
    assert.equal(missing({ chosen: "a", said: reason, typed: "" }, "settle"), "Passphrase first");
    assert.equal(missing({ chosen: "a", said: reason, typed: "secret" }, "settle"), null);
  });
});

describe("after an order", () => {
  it("asks a surgeon only while something is unanswered", () => {
    assert.equal(asksForAnswer({ late: null }), false);
    assert.equal(asksForAnswer({ late: { next: "none" } }), false);
    assert.equal(asksForAnswer({ late: { next: "cancel" } }), false);
    assert.equal(asksForAnswer({ late: { next: "answer" } }), true);
  });
  it("knows a record of one's own, against which one cannot keep the order", () => {
    const casefile = /** @type {any} */ ({ entries: [{ id: "r", payload: { author: "u-hale" } }] });
    const fold = { late: { unanswered: [{ record: "r" }] } };
    const by = (/** @type {string} */ id) => /** @type {any} */ ({ casefile, identity: { user: { id } } });
    assert.equal(hasOwnRecord(by("u-hale"), fold), true);
    assert.equal(hasOwnRecord(by("u-marsh"), fold), false);
  });
});
