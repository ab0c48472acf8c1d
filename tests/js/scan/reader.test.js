/** Which of the codes in a picture is the one: of GS1, whole, and only one. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { boxAndSheet, oneCode, oneSheet } from "../../../static/scan/reader.js";

const GS1 = { isValid: true, text: "10LOT7\u001d21SER9", symbologyIdentifier: "]d2", contentType: "GS1" };
const OTHER = { isValid: true, text: "LOT7", symbologyIdentifier: "]d1", contentType: "Text" };
const CODE = "]d210LOT7\u241d21SER9";

test("the code keeps its symbology and its separator", () => {
  assert.deepEqual(oneCode([GS1]), { code: CODE, why: "" });
});

test("a code of another kind beside it does not matter, alone it is named", () => {
  assert.deepEqual(oneCode([OTHER, GS1]), { code: CODE, why: "" });
  assert.deepEqual(oneCode([OTHER]), { code: null, why: "other" });
});

test("the same code twice is one, two different ones are none", () => {
  assert.deepEqual(oneCode([GS1, GS1]), { code: CODE, why: "" });
  assert.deepEqual(oneCode([GS1, { ...GS1, text: "10LOT8" }]), { code: null, why: "several" });
});

test("nothing, or a code with an error in it, is nothing", () => {
  assert.deepEqual(oneCode([]), { code: null, why: "" });
  assert.deepEqual(oneCode([{ ...GS1, isValid: false }]), { code: null, why: "" });
});

test("of a printed sheet only our own code counts, also beside the code of a box", () => {
  const sheet = { ...OTHER, text: "lampside-order/1:ab:cd" };
  assert.deepEqual(oneSheet([OTHER, GS1, sheet]), { code: "lampside-order/1:ab:cd", why: "" });
  assert.deepEqual(oneSheet([GS1]), { code: null, why: "other" });
  assert.deepEqual(oneSheet([sheet, { ...sheet, text: "lampside-order/1:ab:ce" }]), { code: null, why: "several" });
});

test("a box and a printed sheet are told apart, in any order or both in one picture", () => {
  const sheet = { ...OTHER, text: "lampside-theatre/1:ab:cd:ef" };
  assert.deepEqual(boxAndSheet([sheet, GS1]), { code: CODE, why: "", sheet: sheet.text });
  assert.deepEqual(boxAndSheet([GS1]), { code: CODE, why: "", sheet: null });
  assert.equal(boxAndSheet([sheet]).code, null);
  assert.equal(boxAndSheet([sheet]).sheet, sheet.text);
  assert.equal(boxAndSheet([GS1, { ...GS1, text: "10LOT8" }, sheet]).why, "several");
  assert.equal(boxAndSheet([sheet, { ...sheet, text: "lampside-theatre/1:ab:cd:eg" }]).sheet, null);
});
