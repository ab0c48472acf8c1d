/** A person's other open keys on "Me": theirs alone, and never this phone's own. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { otherKeys, otherKeysSection } from "../../../static/steps/my_keys.js";

const IDENTITY = /** @type {any} */ ({ kid: "new", user: { id: "u-ambler" } });
/** @param {string} kid @param {string} user @returns {any} */
const device = (kid, user) => ({ kid, user, name: "", label: "", last_heard: null, sent: 41 });

describe("other keys", () => {
  it("are this person's alone", () => {
    const listed = [device("old", "u-ambler"), device("new", "u-ambler"), device("q", "u-quill")];
    assert.deepEqual(otherKeys(IDENTITY, listed).map(({ kid }) => kid), ["old"]);
  });
  it("have no section where there are none", () => {
    // lit draws a template, which is an object, and nothing for its symbol of that name.
    assert.equal(typeof otherKeysSection(IDENTITY, [device("new", "u-ambler")]), "symbol");
    assert.equal(typeof otherKeysSection(IDENTITY, [device("old", "u-ambler")]), "object");
  });
});
