/** Canonical bytes: what static/records/canonical.js promises, by the vectors Python reads too. */
import assert from "node:assert/strict";
import { describe, it } from "node:test";
import { decode, encode } from "../../../static/records/canonical.js";
import { BadRecord } from "../../../static/records/errors.js";
import { bytesOfHex, hexOf, readVectors } from "./vectors.js";

const vectors = readVectors("canonical");

describe("encode", () => {
  for (const { name, value, hex } of vectors.values) {
    it(`writes ${name}`, () => {
      assert.equal(hexOf(encode(value)), hex);
    });
  }
  for (const { name, value } of vectors.refused_values) {
    it(`refuses ${name}`, () => {
      assert.throws(() => encode(value), BadRecord);
    });
  }
  const odd = [undefined, -0, Number.NaN, Number.POSITIVE_INFINITY, 1n, () => 1, new Date(0)];
  for (const value of [...odd, new Map(), new Uint8Array(1), [undefined], { a: undefined }]) {
    it(`refuses a value that JSON does not have: ${String(value)} ${typeof value}`, () => {
      assert.throws(() => encode(value), BadRecord);
    });
  }
  it("refuses a list with a hole", () => {
    assert.throws(() => encode(new Array(2)), BadRecord);
  });
  it("limits bytes, not characters", () => {
    const fits = `${"\u738b".repeat(21844)}ab`;
    assert.equal(encode(fits).length, 64 * 1024);
    assert.throws(() => encode(`${fits}c`), /64 KiB/);
  });
});

describe("decode", () => {
  for (const { name, value, hex } of vectors.values) {
    it(`reads ${name}`, () => {
      assert.deepEqual(decode(bytesOfHex(hex)), value);
    });
  }
  for (const { name, text, hex } of vectors.refused_bytes) {
    it(`refuses ${name}`, () => {
      const bytes = hex === undefined ? new TextEncoder().encode(text) : bytesOfHex(hex);
      assert.throws(() => decode(bytes), BadRecord);
    });
  }
  it("refuses an absurd depth by the declared error", () => {
    assert.throws(() => decode(new TextEncoder().encode("[".repeat(60_000))), BadRecord);
    const closed = "[".repeat(30_000) + "]".repeat(30_000);
    assert.throws(() => decode(new TextEncoder().encode(closed)), BadRecord);
  });
  it("refuses more than 64 KiB unread", () => {
    assert.throws(() => decode(new Uint8Array(64 * 1024 + 1).fill(0x20)), /64 KiB/);
  });
});
