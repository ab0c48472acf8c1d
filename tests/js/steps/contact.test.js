/** A call for a visit: what is asked, and that no day is agreed with nobody. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { contactBody, problemsOf } from "../../../static/steps/contact_body.js";

describe("a call for a visit", () => {
  it("asks how and whether anybody was reached, and for no day that is over", () => {
    const fields = (/** @type {any} */ typed) => problemsOf(typed).map(({ field }) => field);
    assert.deepEqual(fields({}), ["how", "reached"]);
    assert.deepEqual(fields({ how: "phone", reached: "yes", comes_on: "2020-01-01" }), ["comes_on"]);
    assert.deepEqual(fields({ how: "phone", reached: "no", comes_on: "2020-01-01" }), []);
  });

  it("keeps a day only where somebody was reached", () => {
    const body = { implant: "c", how: "phone", reached: "no", text: null, comes_on: null };
    assert.deepEqual(contactBody({ how: "phone", reached: "no", comes_on: "2030-01-01", text: " " }, "c"), body);
    assert.equal(contactBody({ how: "phone", reached: "yes", comes_on: "2030-01-01" }, "c").comes_on, "2030-01-01");
  });
});
