/** Taking in pages: only what joins on, only what is genuine, the cursor and the records together. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { otherDevice, pageOf } from "./base.js";
import { allOf, emptyDevice, enrolHere, registration, whiteToWhite } from "./device.js";
import { entriesOfPerson, keepRecord } from "../../../static/store/journal.js";
import { keepKeys } from "../../../static/store/keys.js";
import { keepReceipt, waiting } from "../../../static/store/outbox.js";
import { cursorOf, noteEpoch, storePage } from "../../../static/store/pages.js";
import { peopleAt } from "../../../static/store/people.js";

/** @type {Awaited<ReturnType<typeof otherDevice>>} */
let other;

beforeEach(async () => {
  await emptyDevice();
  await enrolHere();
  other = await otherDevice();
  await keepKeys([other.key]);
  await noteEpoch("1");
});

/** Two records of the other device: a person, and a reading of that person. */
async function twoRecords() {
  const person = await other.make(registration("Oda Brandreth"));
  return [person, await other.make(whiteToWhite(person.payload.person ?? ""))];
}

test("a page that joins on is stored, and its records carry the base's numbers", async () => {
  const made = await twoRecords();
  assert.equal(await storePage(pageOf(made)), true);
  const entries = await entriesOfPerson(made[0]?.payload.person ?? "");
  assert.deepEqual(entries.map(({ received }) => received).sort(), [1, 2]);
  assert.equal(await cursorOf("saltpan"), 2);
});

test("the same page again changes nothing", async () => {
  const page = pageOf(await twoRecords());
  await storePage(page);
  assert.equal(await storePage(page), false);
  assert.equal((await allOf("records")).length, 2);
  assert.equal(await cursorOf("saltpan"), 2);
});

test("a page that starts further on is not stored at all", async () => {
  assert.equal(await storePage(pageOf(await twoRecords(), { from: 5 })), false);
  assert.deepEqual([(await allOf("records")).length, await cursorOf("saltpan")], [0, 0]);
});

test("a late page of the server's earlier life is not stored", async () => {
  const page = pageOf(await twoRecords());
  await noteEpoch("2");
  assert.equal(await storePage(page), false);
  assert.equal(await cursorOf("saltpan"), 0);
});

test("a record of another site keeps the whole page out", async () => {
  const page = pageOf(await twoRecords(), { site: "north-quay" });
  await assert.rejects(storePage(page), /another site/);
  assert.deepEqual([(await allOf("records")).length, await cursorOf("north-quay")], [0, 0]);
});

test("a page with a gap in its numbers is refused", async () => {
  const page = pageOf(await twoRecords());
  const gapped = page.records.map((record, index) => ({ ...record, n: index * 2 + 1 }));
  await assert.rejects(storePage({ ...page, records: gapped }), /gap/);
});

test("a record whose bytes were changed on the way keeps the whole page out", async () => {
  const page = pageOf(await twoRecords());
  const [first, second] = page.records;
  const swapped = [first, { ...second, sig: first?.sig }];
  await assert.rejects(storePage(/** @type {any} */ ({ ...page, records: swapped })), /signature/);
  assert.equal((await allOf("records")).length, 0);
});

test("a record of a device that was never named keeps the whole page out", async () => {
  const stranger = await otherDevice("u-nobody");
  const made = await stranger.make(registration());
  await assert.rejects(storePage(pageOf([made])), { name: "KeyUnknown" });
  assert.equal((await allOf("records")).length, 0);
});

test("two records at one place of a chain are never both stored", async () => {
  const [person] = await twoRecords();
  const copied = await otherDevice();
  await keepKeys([copied.key]);
  const one = await copied.make(registration("One Copy"));
  await storePage(pageOf([/** @type {any} */ (person), one]));
  const rows = await allOf("records");
  const fork = { ...rows.find(({ id }) => id === one.id), id: "f".repeat(64) };
  const { withDatabase } = await import("../../../static/store/idb.js");
  await assert.rejects(withDatabase((database) => database.add("records", fork)), {
    name: "ConstraintError",
  });
});

test("an own record that comes back gets its number and leaves the outbox by receipt alone", async () => {
  const { id, payload } = await keepRecord(registration());
  const [row] = await allOf("records");
  const envelope = { p: row.p, kid: row.kid, sig: row.sig };
  await storePage(pageOf([{ envelope }]));
  assert.equal((await entriesOfPerson(payload.person))[0]?.received, 1);
  assert.deepEqual((await waiting()).map((waits) => waits.id), [id]);
  await keepReceipt({ id, result: "known", n: 1, reason: null });
  assert.deepEqual(await waiting(), []);
});

test("after the base was restored everything is offered again, others' records too", async () => {
  const { id } = await keepRecord(registration());
  await keepReceipt({ id, result: "stored", n: 1, reason: null });
  const made = await other.make(registration("Oda Brandreth"));
  await noteEpoch("1");
  const rows = await allOf("records");
  await storePage(pageOf([{ envelope: { p: rows[0].p, kid: rows[0].kid, sig: rows[0].sig } }, made]));
  assert.equal(await noteEpoch("2"), true);
  assert.deepEqual((await waiting()).map((waits) => waits.id).sort(), [id, made.id].sort());
  assert.equal(await cursorOf("saltpan"), 0);
  assert.deepEqual((await allOf("records")).map(({ received }) => received), [null, null]);
});

test("hearing the same life again offers nothing again", async () => {
  const { id } = await keepRecord(registration());
  await keepReceipt({ id, result: "stored", n: 1, reason: null });
  assert.equal(await noteEpoch("1"), false);
  assert.deepEqual(await waiting(), []);
});

test("people who came from the base are in the list of their camp", async () => {
  await storePage(pageOf(await twoRecords()));
  assert.deepEqual((await peopleAt("saltpan")).map(({ name }) => name), ["Oda Brandreth"]);
  assert.deepEqual(await peopleAt("upper-glen"), []);
});
