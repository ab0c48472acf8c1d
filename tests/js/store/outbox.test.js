/** The outbox: out by receipt alone, refusals kept with their reason. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { allOf, emptyDevice, enrolHere, keepReceipt, registration, whiteToWhite } from "./device.js";
import { onChange } from "../../../static/store/changes.js";
import { entriesOfPerson, keepRecord } from "../../../static/store/journal.js";
import {
  counts,
  refused,
  tryAgain,
  waiting,
  withdrawn,
  withdrawRefused,
} from "../../../static/store/outbox.js";
import { keepReceipts } from "../../../static/store/receipts.js";

const REASON = { code: "role.not_held", message: "Its author does not hold the role." };

/** @type {{ id: string, payload: any }} */
let person;

beforeEach(async () => {
  await emptyDevice();
  await enrolHere();
  person = await keepRecord(registration());
});

test("a stored record leaves the outbox and keeps the base's number", async () => {
  await keepReceipt({ id: person.id, result: "stored", n: 41, reason: null }, "1");
  assert.deepEqual(await counts(), { waiting: 0, refused: 0 });
  assert.equal((await allOf("records"))[0].received, 41);
});

test("the receipts of one answer are told of once, with everybody they are about", async () => {
  const other = await keepRecord(registration());
  /** @type {string[][]} */
  const told = [];
  const stop = onChange(({ persons }) => void told.push(persons));
  const receipts = [person, other].map(({ id }, index) => (
    { id, result: /** @type {const} */ ("stored"), n: index + 1, reason: null }
  ));
  await keepReceipts(receipts, "1");
  stop();
  assert.deepEqual(told, [[person.payload.person, other.payload.person]]);
  assert.deepEqual(await counts(), { waiting: 0, refused: 0 });
});

test("a refused record stays, says why, and is left out of the calculation", async () => {
  const reading = await keepRecord(whiteToWhite(person.payload.person));
  await keepReceipt({ id: reading.id, result: "refused", n: null, reason: REASON }, "1");
  const [row] = await refused();
  assert.deepEqual([row?.id, row?.code, row?.message], [reading.id, REASON.code, REASON.message]);
  const entries = await entriesOfPerson(person.payload.person);
  assert.deepEqual(entries.map(({ id }) => id), [person.id]);
  assert.equal((await allOf("records")).length, 2);
});

test("a refused record can be offered again and then counts again", async () => {
  await keepReceipt({ id: person.id, result: "refused", n: null, reason: REASON }, "1");
  await tryAgain(person.id);
  assert.deepEqual(await counts(), { waiting: 1, refused: 0 });
  assert.equal((await entriesOfPerson(person.payload.person)).length, 1);
});

test("what the base cannot place yet goes on waiting, with the reason", async () => {
  const reason = { code: "person.unknown", message: "The registration is not here yet." };
  await keepReceipt({ id: person.id, result: "refused", n: null, reason }, "1");
  const [row] = await waiting();
  assert.deepEqual([row?.id, row?.message], [person.id, reason.message]);
  assert.equal((await entriesOfPerson(person.payload.person)).length, 1);
});

test("a receipt for something this phone never had is ignored", async () => {
  await keepReceipt({ id: "0".repeat(64), result: "stored", n: 1, reason: null }, "1");
  assert.deepEqual(await counts(), { waiting: 1, refused: 0 });
});

test("each key's records wait in chain order", async () => {
  for (const sizeUm of [11_900, 11_100, 11_500]) {
    await keepRecord(whiteToWhite(person.payload.person, sizeUm));
  }
  assert.deepEqual((await waiting()).map(({ seq }) => seq), [1, 2, 3, 4]);
});

test("a refused record that is withdrawn stays with who and why, and is sent no more", async () => {
  await keepReceipt({ id: person.id, result: "refused", n: null, reason: REASON }, "1");
  await withdrawRefused(person.id, "R. Ambler", "typed for the wrong person");
  assert.deepEqual(await counts(), { waiting: 0, refused: 0 });
  const [row] = await withdrawn();
  assert.deepEqual([row?.withdrawn?.by, row?.withdrawn?.reason], ["R. Ambler", "typed for the wrong person"]);
  assert.equal((await entriesOfPerson(person.payload.person)).length, 0);
  assert.equal((await allOf("records")).length, 1);
});

test("a record that only waits cannot be withdrawn from the outbox", async () => {
  await withdrawRefused(person.id, "R. Ambler", "no need");
  assert.deepEqual(await counts(), { waiting: 1, refused: 0 });
});
