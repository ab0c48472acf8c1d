/** Whether an eye can go to the surgeon, and whether it has gone. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { isStillHere, verdict } from "../../../static/steps/plan_parts.js";

const PLAN = { findings: [], missing: [], shown: {} };

/** @param {string | null} received @param {string} [state] */
const sent = (received, state = "queued") => ({
  ...{ state, state_why: "Waits for the surgeon.", request: { received } },
  changed_since: { request: [] },
});

describe("the verdict after sending", () => {
  it("without a receipt the eye waits on this phone, and nobody is told that it has gone", () => {
    const { word, why, canSend, button } = verdict(PLAN, sent(null));
    assert.deepEqual([word, why], ["Not yet.", "It goes as soon as the base is heard."]);
    assert.deepEqual([canSend, button], [false, "Waits on this phone"]);
  });

  it("with the receipt it has gone", () => {
    assert.equal(verdict(PLAN, sent("2026-11-29T10:00:00.000Z")).word, "It has gone.");
    assert.equal(isStillHere(sent("2026-11-29T10:00:00.000Z")), false);
  });

  it("what the surgeon has decided on was there", () => {
    assert.equal(verdict(PLAN, sent(null, "approved")).word, "It has gone.");
  });
});
