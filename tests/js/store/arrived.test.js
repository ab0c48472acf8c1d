/** What is shown as sent: only what the base gave a number, of one key, of today, newest first. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { otherDevice, pageOf } from "./base.js";
import { emptyDevice, enrolHere, keepReceipt, registration, whiteToWhite } from "./device.js";
import { arrivedSince } from "../../../static/store/arrived.js";
import { keepRecord } from "../../../static/store/journal.js";
import { keepKeys } from "../../../static/store/keys.js";
import { storePage } from "../../../static/store/pages.js";

const REASON = { code: "role.not_held", message: "No." };

/** @type {string} */
let kid;

beforeEach(async () => {
  await emptyDevice();
  kid = (await enrolHere()).kid;
});

/** @param {string} [since] */
async function arrived(since = "2000-01-01T00:00:00.000Z") {
  return (await arrivedSince(kid, since)).map(({ id }) => id);
}

test("nothing has arrived before the base said so, nor what it refused", async () => {
  const person = await keepRecord(registration());
  const reading = await keepRecord(whiteToWhite(person.payload.person));
  const later = await keepRecord(whiteToWhite(person.payload.person, 11_500));
  assert.deepEqual(await arrived(), []);
  await keepReceipt({ id: person.id, result: "stored", n: 1, reason: null }, "1");
  await keepReceipt({ id: reading.id, result: "refused", n: null, reason: REASON }, "1");
  assert.deepEqual(await arrived(), [person.id]);
  await keepReceipt({ id: later.id, result: "known", n: 2, reason: null }, "1");
  assert.deepEqual(await arrived(), [later.id, person.id]);
});

test("what was made before the day that is asked for is left out", async () => {
  const { id, payload } = await keepRecord(registration());
  await keepReceipt({ id, result: "stored", n: 1, reason: null }, "1");
  assert.deepEqual(await arrived(payload.wall), [id]);
  assert.deepEqual(await arrived("2999-01-01T00:00:00.000Z"), []);
});

test("what somebody else sent is not listed as one's own", async () => {
  const other = await otherDevice();
  await keepKeys([other.key]);
  assert.equal(await storePage(pageOf([await other.make(registration("Oda Brandreth"))])), true);
  assert.deepEqual(await arrived(), []);
});

test("all of a long day is there, up to fifty", async () => {
  const made = [];
  for (let n = 1; n <= 52; n += 1) {
    const { id } = await keepRecord(registration(`Person ${n}`));
    await keepReceipt({ id, result: "stored", n, reason: null }, "1");
    made.unshift(id);
  }
  assert.deepEqual(await arrived(), made.slice(0, 50));
});
