/** Proving the core: its name over its files, and the self-test that lets nothing pass. */
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { test } from "node:test";
import { coreIdentity, differences } from "../../../static/core/proof.js";

/** @param {string} text */
const sha256 = (text) => createHash("sha256").update(text).digest("hex");

test("the core's name is the hash of what sha256sum prints for its files", async () => {
  const listing = `${sha256("b = 2\n")}  a/b.py\n${sha256("")}  a/c.py\n`;
  const name = await coreIdentity({ "a/c.py": "", "a/b.py": "b = 2\n" });
  assert.equal(name, sha256(listing));
});

test("one changed character in one file changes the name", async () => {
  const before = await coreIdentity({ "a.py": "x = 1\n" });
  assert.notEqual(await coreIdentity({ "a.py": "x = 2\n" }), before);
});

test("an equal answer agrees whatever the order of its fields", () => {
  const selftest = [{ call: { do: "x" }, expect: { a: 1, b: [{ c: 2, d: 3 }] } }];
  assert.deepEqual(differences(selftest, () => '{"b":[{"d":3,"c":2}],"a":1}'), []);
});

test("each differing answer is named by its number", () => {
  const selftest = [
    { call: { do: "x" }, expect: { a: 1 } },
    { call: { do: "y" }, expect: { a: 2 } },
  ];
  assert.deepEqual(differences(selftest, () => '{"a":1}'), ["number 2"]);
});

test("an empty self-test proves nothing and counts as a difference", () => {
  assert.deepEqual(differences([], () => "{}"), ["there is no self-test"]);
});
