/** Somebody alike who is another person: said once where it can be, and nothing undone where not. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { keepDifferent } from "../../../static/steps/compared.js";
import { keepRecord } from "../../../static/store/journal.js";
import { lock } from "../../../static/store/vault.js";
import { allOf, emptyDevice, enrolHere, openedRecords, registration } from "../store/device.js";

beforeEach(async () => {
  await emptyDevice();
  await enrolHere();
});

test("it is said of each person alike that they are another one", async () => {
  const [one, two, now] = [await keepRecord(registration("One Person")), await keepRecord(registration("Two Persons")), await keepRecord(registration("One Persons"))];
  const others = [one.payload.person, two.payload.person];
  await keepDifferent(now.payload.person, others);
  const said = (await openedRecords()).filter(({ kind }) => kind === "person.compared");
  assert.deepEqual(said.map(({ person }) => person), [now.payload.person, now.payload.person]);
  assert.deepEqual(said.map(({ payload }) => payload.body.other).sort(), others.sort());
});

test("where it can't be kept the registration stands, and nothing says that it was not saved", async () => {
  const { payload } = await keepRecord(registration());
  lock();
  await assert.rejects(keepRecord(registration("Oda Brandreth")));
  await keepDifferent(payload.person, [registration().person]);
  assert.deepEqual((await allOf("records")).map(({ kind }) => kind), ["person.registered"]);
});
