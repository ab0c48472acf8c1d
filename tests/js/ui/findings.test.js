/** Which findings stand open on the phone; the same cases are asked of the desk's code. */
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { describe, it } from "node:test";
import { foldedByCause } from "../../../static/ui/findings.js";

const { cases } = JSON.parse(
  readFileSync(new URL("../../vectors/findings.json", import.meta.url), "utf-8"),
);

describe("findings", () => {
  for (const { name, findings, open, folded } of cases) {
    it(name, () => {
      const made = findings.map((/** @type {string[]} */ [code, level, cause]) => ({ code, level, cause }));
      const split = foldedByCause(/** @type {any} */ (made));
      assert.deepEqual(split.open.map(({ code }) => code), open);
      assert.deepEqual(split.folded.map(({ code }) => code), folded);
    });
  }
});
