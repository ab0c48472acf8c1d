/** Where the text of a field came from: faster than fingers, whole, and by keys. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { Keys } from "../../../static/scan/came_from.js";

const CODE = "]d201095060001343521731022810LOT7\u241d21SER9";

/** @param {number} apart_ms @param {{ keys?: number, repeat?: boolean }} [how] */
function pressed(apart_ms, { keys = CODE.length, repeat = false } = {}) {
  const found = new Keys();
  for (let key = 0; key < keys; key += 1) found.note({ timeStamp: 5000 + key * apart_ms, repeat });
  return found;
}

test("a reader at the cable writes faster than fingers", () => {
  assert.equal(pressed(2).source(CODE), "reader");
  assert.equal(pressed(20).source(CODE), "reader");
  // 120 words a minute, five letters each, are a key every 100 ms.
  assert.equal(pressed(100).source(CODE), "keys");
  assert.equal(pressed(60).source(CODE), "keys");
});

test("what a person types is no scan, whatever it says", () => {
  assert.equal(new Keys().source(CODE), "keys", "pasted: no key at all");
  assert.equal(pressed(2, { keys: 3 }).source(CODE), "keys", "a symbology put before what was pasted");
  assert.equal(pressed(2, { repeat: true }).source(CODE), "keys", "a key held down");
  assert.equal(pressed(2).source("]d2"), "keys", "too short for a box");
});

test("a text that is corrected afterwards is typed", () => {
  const keys = pressed(2);
  keys.note({ timeStamp: 9000, repeat: false });
  assert.equal(keys.source(CODE), "keys");
});

test("what a mouse puts in place of what a reader wrote is no scan", () => {
  const keys = pressed(2);
  assert.equal(keys.source(CODE), "reader");
  assert.equal(keys.source(CODE), "reader", "asked once more of the same text");
  assert.equal(keys.source(CODE.replace("SER9", "SER8")), "keys", "pasted over it");
});

test("the next box is read like the first one", () => {
  const keys = pressed(2);
  assert.equal(keys.source(CODE), "reader");
  for (let key = 0; key < CODE.length; key += 1) keys.note({ timeStamp: 9000 + key * 2, repeat: false });
  assert.equal(keys.source(CODE.replace("SER9", "SER8")), "reader");
});
