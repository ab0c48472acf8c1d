/** Taking in pages: only what joins on, only what is genuine, the cursor and the records together. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { otherDevice, pageOf } from "./base.js";
import { allOf, emptyDevice, enrolHere, keepReceipt, openedRecords, registration, whiteToWhite } from "./device.js";
import { entriesOfPerson, keepRecord } from "../../../static/store/journal.js";
import { keepKeys, keyOf } from "../../../static/store/keys.js";
import { waiting } from "../../../static/store/outbox.js";
import { setAside } from "../../../static/store/aside.js";
import { cursorOf, noteEpoch, storeAside, storePage } from "../../../static/store/pages.js";
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

test("a record of another site is set aside, and so is every one of a wrong list", async () => {
  const page = pageOf(await twoRecords(), { site: "north-quay" });
  assert.equal(await storePage(page), true);
  assert.deepEqual([(await allOf("records")).length, await cursorOf("north-quay")], [0, 2]);
  assert.deepEqual((await setAside()).map(({ n, why }) => [n, why]), [
    [1, "It belongs to another site."],
    [2, "It belongs to another site."],
  ]);
});

test("a page with a gap in its numbers is refused", async () => {
  const page = pageOf(await twoRecords());
  const gapped = page.records.map((record, index) => ({ ...record, n: index * 2 + 1 }));
  await assert.rejects(storePage({ ...page, records: gapped }), /gap/);
});

test("a record whose bytes were changed on the way is set aside, the others are stored", async () => {
  const page = pageOf([...(await twoRecords()), await other.make(registration("Ilse Hartnoll"))]);
  const [first, second, third] = page.records;
  const swapped = [first, { ...second, sig: first?.sig }, third];
  assert.equal(await storePage(/** @type {any} */ ({ ...page, records: swapped })), true);
  assert.deepEqual((await allOf("records")).map(({ received }) => received).sort(), [1, 3]);
  const [aside] = await setAside();
  assert.equal(aside?.n, 2);
  assert.match(aside?.why ?? "", /signature/);
});

test("a kind that this app does not know yet is set aside, and taken in by a newer app", async () => {
  const page = pageOf([await other.make(registration())]);
  const [good] = page.records;
  const bytes = Buffer.from(good?.p ?? "", "base64url").toString().replace("person.registered", "person.regarded");
  const odd = { ...page, records: [{ ...good, p: Buffer.from(bytes).toString("base64url") }] };
  assert.equal(await storePage(/** @type {any} */ (odd)), true);
  assert.match((await setAside())[0]?.why ?? "", /not known here/);
  assert.equal(await storeAside(page), true);
  assert.deepEqual([(await setAside()).length, (await allOf("records")).length], [0, 1]);
  assert.equal(await storeAside(page), false);
});

test("a record of a device that was never named: first the list of keys, then set aside", async () => {
  const stranger = await otherDevice("u-nobody");
  const page = pageOf([await stranger.make(registration())]);
  await assert.rejects(storePage(page), { name: "KeyUnknown" });
  assert.equal(await cursorOf("saltpan"), 0);
  assert.equal(await storePage(page, { keysAreNew: true }), true);
  assert.deepEqual([(await allOf("records")).length, (await setAside()).length], [0, 1]);
});

test("a second record at one place of a chain is set aside, whichever came first", async () => {
  const one = await other.make(registration("One Copy"));
  await storePage(pageOf([one]));
  const fork = await other.make({ ...registration("Other Copy"), ...{ at: { seq: 1, id: null } } });
  assert.equal(await storePage(pageOf([fork], { from: 1 })), true);
  assert.deepEqual((await allOf("records")).map(({ id }) => id), [one.id]);
  assert.match((await setAside())[0]?.why ?? "", /in its place/);
});

test("a record that does not follow its device's one before is set aside", async () => {
  await storePage(pageOf([await other.make(registration("One"))]));
  const at = { seq: 2, id: "e".repeat(64) };
  const astray = await other.make({ ...registration("Two"), ...{ at } });
  await storePage(pageOf([astray], { from: 1 }));
  assert.match((await setAside())[0]?.why ?? "", /does not follow/);
  assert.equal((await allOf("records")).length, 1);
});

test("a chain with places of other sites in between is taken as it comes", async () => {
  const first = await other.make(registration("One"));
  await other.make(registration("Elsewhere"));
  const third = await other.make(registration("Three"));
  await storePage(pageOf([first, third]));
  assert.deepEqual([(await allOf("records")).length, (await setAside()).length], [2, 0]);
});

test("a refused record that the base took after all is offered once more for its receipt", async () => {
  const { id } = await keepRecord(registration());
  const reason = { code: "key.revoked", message: "x" };
  await keepReceipt({ id, result: "refused", n: null, reason }, "1");
  const [row] = await openedRecords();
  await storePage(pageOf([{ envelope: { p: row.p, kid: row.kid, sig: row.sig } }]));
  assert.deepEqual((await waiting()).map((waits) => waits.id), [id]);
  assert.equal((await allOf("records"))[0].state, "ok");
});

test("a restored base is asked for everything, so nothing stays set aside", async () => {
  await storePage(pageOf(await twoRecords(), { site: "north-quay" }));
  await noteEpoch("2");
  assert.deepEqual(await setAside(), []);
});

test("an own record that comes back gets its number and leaves the outbox by receipt alone", async () => {
  const { id, payload } = await keepRecord(registration());
  const [row] = await openedRecords();
  const envelope = { p: row.p, kid: row.kid, sig: row.sig };
  await storePage(pageOf([{ envelope }]));
  assert.equal((await entriesOfPerson(payload.person))[0]?.received, 1);
  assert.deepEqual((await waiting()).map((waits) => waits.id), [id]);
  await keepReceipt({ id, result: "known", n: 1, reason: null }, "1");
  assert.deepEqual(await waiting(), []);
});

test("after the base was restored everything is offered again, others' records too", async () => {
  const { id } = await keepRecord(registration());
  await keepReceipt({ id, result: "stored", n: 1, reason: null }, "1");
  const made = await other.make(registration("Oda Brandreth"));
  await noteEpoch("1");
  const rows = await openedRecords();
  await storePage(pageOf([{ envelope: { p: rows[0].p, kid: rows[0].kid, sig: rows[0].sig } }, made]));
  assert.equal(await noteEpoch("2"), true);
  assert.deepEqual((await waiting()).map((waits) => waits.id).sort(), [id, made.id].sort());
  assert.equal(await cursorOf("saltpan"), 0);
  assert.deepEqual((await allOf("records")).map(({ received }) => received), [null, null]);
});

test("hearing the same life again offers nothing again", async () => {
  const { id } = await keepRecord(registration());
  await keepReceipt({ id, result: "stored", n: 1, reason: null }, "1");
  assert.equal(await noteEpoch("1"), false);
  assert.deepEqual(await waiting(), []);
});

test("people who came from the base are in the list of their camp", async () => {
  await storePage(pageOf(await twoRecords()));
  assert.deepEqual((await peopleAt("saltpan")).map(({ name }) => name), ["Oda Brandreth"]);
  assert.deepEqual(await peopleAt("upper-glen"), []);
});

test("a receipt of the base's earlier life takes nothing out of the outbox", async () => {
  const { id } = await keepRecord(registration());
  await noteEpoch("2");
  await keepReceipt({ id, result: "stored", n: 1, reason: null }, "1");
  assert.deepEqual((await waiting()).map((row) => row.id), [id]);
  const [record] = await allOf("records");
  assert.equal(record.received, null);
});

test("a key that is not named by its own hash is not kept", async () => {
  const stranger = await otherDevice("u-nobody");
  const kid = "0".repeat(64);
  await keepKeys([{ ...stranger.key, kid }]);
  assert.equal(await keyOf(kid), null);
});
