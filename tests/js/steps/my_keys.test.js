/** A person's other open keys on "Me": theirs alone, and never this phone's own. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { keyBefore, otherKeys, otherKeysSection } from "../../../static/steps/my_keys.js";

const IDENTITY = /** @type {any} */ ({ kid: "new", user: { id: "u-ambler" } });
/** @param {string} kid @param {string} user @returns {any} */
const device = (kid, user) => ({ kid, user, name: "", label: "", last_heard: null, sent: 41 });

describe("a key from before the storage was cleared", () => {
  const fresh = { ...device("new", "u-ambler"), sent: 0 };
  it("is one of the same person, while nothing of the present key has arrived", () => {
    assert.equal(keyBefore(IDENTITY, [device("old", "u-ambler"), fresh])?.kid, "old");
    assert.equal(keyBefore(IDENTITY, [device("old", "u-ambler"), { ...fresh, sent: 1 }]), null);
  });
  it("is nobody else's, and none where the base has not said how much arrived", () => {
    assert.equal(keyBefore(IDENTITY, [device("q", "u-quill"), fresh]), null);
    assert.equal(keyBefore(IDENTITY, [device("old", "u-ambler")]), null);
    assert.equal(keyBefore(IDENTITY, []), null);
  });
  it("is the one heard from last", () => {
    const days = ["2026-11-20", "2026-11-22", "2026-11-21"];
    const olds = days.map((day) => ({ ...device(day, "u-ambler"), last_heard: `${day}T08:00:00.000Z` }));
    assert.equal(keyBefore(IDENTITY, [...olds, device("never", "u-ambler"), fresh])?.kid, "2026-11-22");
  });
  it("is not the one that this phone gave up itself", () => {
    assert.equal(keyBefore({ ...IDENTITY, given_up: "old" }, [device("old", "u-ambler"), fresh]), null);
  });
});

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
