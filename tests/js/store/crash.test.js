/** A crash at every single step of keeping a record leaves the state before or after, never between. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { allOf, emptyDevice, enrolHere, keepReceipt, openedRecords, registration, whiteToWhite } from "./device.js";
import { crashing } from "./crashing.js";
import { keepDraft, readDraft } from "../../../static/store/drafts.js";
import { keepRecord, NotKept } from "../../../static/store/journal.js";

/** What the store says of its one chain. */
async function state() {
  const [records, outbox, heads] = await Promise.all(["records", "outbox", "heads"].map(allOf));
  return { records: records?.length, outbox: outbox?.length, head: heads?.[0]?.seq ?? 0 };
}

/**
 * Run `work`; the transaction of its write number `failAt` ends with an error of this name, as the
 * browser ends one that finds no room. Return what `work` threw, or null.
 *
 * @param {() => Promise<unknown>} work
 * @param {number} failAt
 * @param {string} name
 * @returns {Promise<Error | null>}
 */
async function failingWrite(work, failAt, name) {
  const writes = /** @type {const} */ (["add", "put", "delete"]);
  const prototype = /** @type {any} */ (IDBObjectStore.prototype);
  const originals = writes.map((write) => prototype[write]);
  let count = 0;
  writes.forEach((write, index) => {
    prototype[write] = function failing(/** @type {unknown[]} */ ...words) {
      const request = originals[index].apply(this, words);
      count += 1;
      if (count === failAt) this.transaction._abort(name);
      return request;
    };
  });
  try {
    await work();
    return null;
  } catch (error) {
    return /** @type {Error} */ (error);
  } finally {
    writes.forEach((write, index) => {
      prototype[write] = originals[index];
    });
  }
}

beforeEach(async () => {
  await emptyDevice();
  await enrolHere();
});

test("keeping a record, stopped at each of its steps", async () => {
  const { payload } = await keepRecord(registration());
  const keep = () => keepRecord(whiteToWhite(payload.person));
  let kept = 1;
  let crashes = 0;
  for (let step = 1; ; step += 1) {
    const steps = await crashing(keep, step);
    const now = await state();
    assert.ok(now.records === kept || now.records === kept + 1, `step ${step}: ${now.records}`);
    kept = now.records ?? 0;
    assert.deepEqual(now, { records: kept, outbox: kept, head: kept }, `stopped at step ${step}`);
    if (steps < step) break;
    crashes += 1;
  }
  assert.ok(crashes >= 12, `only ${crashes} steps were seen`);
  const rows = (await openedRecords()).sort((a, b) => a.seq - b.seq);
  const before = [null, ...rows.map(({ id }) => id)].slice(0, rows.length);
  assert.deepEqual(rows.map(({ payload: { prev } }) => prev), before);
});

test("taking a receipt, stopped at each of its steps", async () => {
  const { id } = await keepRecord(registration());
  const receipt = { id, result: /** @type {const} */ ("stored"), n: 1, reason: null };
  for (let step = 1; ; step += 1) {
    const steps = await crashing(() => keepReceipt(receipt, "1"), step);
    const isTaken = (await allOf("outbox")).length === 0;
    const [record] = await allOf("records");
    assert.equal(record.received, isTaken ? 1 : null, `stopped at step ${step}`);
    if (steps < step) break;
    assert.ok(step < 50, "the receipt never got through");
  }
  assert.equal((await allOf("outbox")).length, 0);
});

test("full storage says so, keeps nothing, and saving works again afterwards", async () => {
  const { add } = IDBObjectStore.prototype;
  IDBObjectStore.prototype.add = () => {
    throw new DOMException("full", "QuotaExceededError");
  };
  try {
    await assert.rejects(keepRecord(registration()), /storage is full.*What you typed is still here/s);
  } finally {
    IDBObjectStore.prototype.add = add;
  }
  assert.deepEqual(await state(), { records: 0, outbox: 0, head: 0 });
  await keepRecord(registration());
  assert.deepEqual(await state(), { records: 1, outbox: 1, head: 1 });
});

for (const name of ["QuotaExceededError", "AbortError"]) {
  test(`${name} at each write of a save: "not saved" is said, what is typed stays, the next save works`, async () => {
    const { payload } = await keepRecord(registration());
    await keepDraft("capture", { typed: "11.6" });
    const save = () => keepRecord(whiteToWhite(payload.person), { draft: "capture" });
    const before = await state();
    let failures = 0;
    for (let write = 1; ; write += 1) {
      const failure = await failingWrite(save, write, name);
      if (!failure) break;
      failures += 1;
      assert.ok(failure instanceof NotKept, String(failure));
      assert.match(failure.message, /was not saved. What you typed is still here/);
      assert.deepEqual(await state(), before, `failed at write ${write}`);
      assert.deepEqual(await readDraft("capture"), { typed: "11.6" });
    }
    // Record, outbox, head and the draft that goes.
    assert.equal(failures, 4);
    assert.deepEqual(await state(), { records: 2, outbox: 2, head: 2 });
    assert.equal(await readDraft("capture"), null);
  });
}

test("a draft that could not be kept says so, and does not pretend", async () => {
  const failure = await failingWrite(() => keepDraft("capture", { typed: "1" }), 1, "QuotaExceededError");
  assert.equal(failure?.name, "DraftNotKept");
  assert.match(failure.message, /storage is full: what you are typing is on this page and nowhere else/);
  assert.equal(await readDraft("capture"), null);
});

test("a connection closed behind the app's back is opened again", async () => {
  const { payload } = await keepRecord(registration());
  const { transaction } = IDBDatabase.prototype;
  let isDead = true;
  IDBDatabase.prototype.transaction = function dead(...words) {
    if (!isDead) return transaction.apply(this, words);
    isDead = false;
    throw new DOMException("closing", "InvalidStateError");
  };
  try {
    await keepRecord(whiteToWhite(payload.person));
  } finally {
    IDBDatabase.prototype.transaction = transaction;
  }
  assert.deepEqual(await state(), { records: 2, outbox: 2, head: 2 });
});
