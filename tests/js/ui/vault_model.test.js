/** Who answers for the vault model of a plan. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { modelText } from "../../../static/ui/vault_model.js";

const NAMES = new Map([["u-marsh", "Dr I. Marsh"]]);
const ADOPTED = { text: "Harbour calliper; white-to-white by calliper 2", author: "u-marsh", withdrawn: null };

describe("the vault model of a plan", () => {
  it("names the surgeon who adopted it", () => {
    assert.equal(
      modelText(ADOPTED, NAMES),
      "Harbour calliper; white-to-white by calliper 2; adopted by Dr I. Marsh.",
    );
  });
  it("does not hide that somebody unknown here adopted it", () => {
    assert.match(modelText(ADOPTED, new Map()), /adopted by a colleague\.$/);
  });
  it("was adopted by nobody where it is the default prior, and says what was withdrawn", () => {
    const prior = { text: "Default prior for white-to-white, no own eyes yet", author: null };
    assert.equal(modelText({ ...prior, withdrawn: null }, NAMES), `${prior.text}.`);
    const why = "Harbour calliper was withdrawn: too old.";
    assert.equal(modelText({ ...prior, withdrawn: why }, NAMES), `${prior.text}. ${why}`);
  });
});
