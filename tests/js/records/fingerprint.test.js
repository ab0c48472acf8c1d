/** The words of a key, by the vectors that Python reads too. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { wordsOf } from "../../../static/records/fingerprint.js";
import { readVectors } from "./vectors.js";

for (const { name, kid, words } of readVectors("fingerprint").fingerprints) {
  test(name, () => assert.deepEqual(wordsOf(kid), words));
}
