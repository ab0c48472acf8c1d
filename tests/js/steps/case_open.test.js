/** The surgeon's sheets: words typed before are there again, a passphrase never is. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { openSheet, SIGNED } from "../../../static/steps/case_open.js";

/** @param {any} sheet */
function opened(sheet) {
  const model = /** @type {any} */ ({ said: new Map([[sheet, "typed before"]]) });
  openSheet(model, sheet, /** @type {any} */ ({ redraw: () => undefined }));
  return model.typed;
}

test("a sheet for words opens with them", () => {
  for (const sheet of ["ask", "decline"]) assert.equal(opened(sheet), "typed before");
});

test("a sheet on which something is signed opens without anything in the place of the passphrase", () => {
  for (const sheet of ["approve", "settle", "late"]) assert.equal(opened(sheet), "", sheet);
  assert.deepEqual([...SIGNED].sort(), ["approve", "late", "settle"]);
});
