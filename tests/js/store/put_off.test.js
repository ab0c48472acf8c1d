/** Records taken off the phone: only what the base has had for long, all or none, and back when wanted. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import "./few_rounds.js";
import { otherDevice, pageOf } from "./base.js";
import { AMBLER, allOf, emptyDevice, enrolHere, registration, whiteToWhite } from "./device.js";
import { killAtEachStep } from "./every_step.js";
import { keepDraft } from "../../../static/store/drafts.js";
import { changeEnrolment } from "../../../static/store/enrolments.js";
import { withDatabase } from "../../../static/store/idb.js";
import { entriesOfPerson, keepRecord } from "../../../static/store/journal.js";
import { keepKeys } from "../../../static/store/keys.js";
import { withdrawRefused } from "../../../static/store/outbox.js";
import { keepReceipts } from "../../../static/store/receipts.js";
import { newUuid7 } from "../../../static/records/uuid7.js";
import { cursorOf, noteEpoch, storePage } from "../../../static/store/pages.js";
import { peopleAt } from "../../../static/store/people.js";
import { KEPT_DAYS, leaveSites, putOffPerson, takeBack } from "../../../static/store/put_off.js";
import { isPutOff, putOff } from "../../../static/store/put_off_marks.js";
import { markSeen } from "../../../static/store/seen.js";
import { keepSummary } from "../../../static/store/summaries.js";

/** When the base of the tests received everything. */
const RECEIVED_MS = Date.parse("2026-11-25T05:00:00.000Z");
const DAY_MS = 86_400_000;
const LATE_MS = RECEIVED_MS + KEPT_DAYS * DAY_MS + 1;

beforeEach(async () => {
  await emptyDevice();
});

/** Two people whom another device registered and measured; everything is here by pages of the base. */
async function twoPeople() {
  await enrolHere();
  const other = await otherDevice();
  await keepKeys([other.key]);
  const first = await other.make(registration("Ilse Hartnoll"));
  const second = await other.make(registration("Oda Brandreth"));
  const [id, neighbour] = [first.payload.person ?? "", second.payload.person ?? ""];
  const made = [first, second, await other.make(whiteToWhite(id)), await other.make(whiteToWhite(neighbour))];
  await storePage(pageOf(made));
  await keepSummary(id, { basis: "x" });
  await markSeen(`u-verrill/${id}.R`, "x");
  return { id, neighbour, other, made };
}

/** The base's answer for one person. @param {any[]} made @param {string} id */
const answerOf = (made, id, epoch = "1") => ({
  epoch,
  records: pageOf(made).records.map((record) => ({ ...record, site: "saltpan" })).filter((_, at) => made[at].payload.person === id),
});

/** @param {string} person */
const kindsOf = async (person) => (await entriesOfPerson(person)).map(({ payload }) => payload.kind).sort();

test("what the base has had for long goes but the registration, and comes back whole", async () => {
  const { id, neighbour, made } = await twoPeople();
  assert.equal(await putOffPerson(id, null, LATE_MS), true);
  assert.deepEqual(await kindsOf(id), ["person.registered"]);
  assert.equal((await kindsOf(neighbour)).length, 2);
  assert.deepEqual([(await allOf("summaries")).length, (await allOf("seen")).length], [0, 0]);
  assert.deepEqual((await peopleAt("saltpan")).map(({ atBase }) => atBase), [true, false]);
  assert.equal(await cursorOf("saltpan"), 4);
  assert.equal(await takeBack(id, answerOf(made, id), 0), true);
  assert.deepEqual(await kindsOf(id), ["person.registered", "reading.white_to_white"]);
  assert.equal(await isPutOff(id), false);
});

test("not a day too early, by the base's day of receipt", async () => {
  const { id } = await twoPeople();
  assert.equal(await putOffPerson(id, null, LATE_MS - 1), false);
  assert.equal((await kindsOf(id)).length, 2);
});

test("nobody whose registrations were joined: half a person would fold to another case", async () => {
  const { id, neighbour, other } = await twoPeople();
  const body = { other: neighbour, place: "The other camp", compared: "c".repeat(64) };
  const merged = { kind: "person.merged", person: id, eye: null, role: "desk", reason: "Same card", body };
  await storePage(pageOf([await other.make(merged)], { from: 4 }));
  // The other half has no record of it here: it is lost, or on its way from another camp.
  for (const half of [id, neighbour]) assert.equal(await putOffPerson(half, null, LATE_MS), false);
  assert.equal((await kindsOf(id)).length, 5);
});

test("nobody while a joining does not open: whom it names is not known", async () => {
  const { id, neighbour, other } = await twoPeople();
  const body = { other: neighbour, place: "The other camp", compared: "c".repeat(64) };
  const merged = await other.make({ kind: "person.merged", person: id, eye: null, role: "desk", reason: "Same card", body });
  await storePage(pageOf([merged], { from: 4 }));
  const row = await withDatabase((database) => database.get("records", merged.id));
  row.box.bytes[0] ^= 1;
  await withDatabase((database) => database.put("records", row));
  assert.equal(await putOffPerson(neighbour, null, LATE_MS), false);
});

test("nobody who is joined while the joinings here are being read", async () => {
  const { id, neighbour, other } = await twoPeople();
  const body = { other: neighbour, place: "The other camp", compared: "c".repeat(64) };
  const asked = { kind: "person.merged", eye: null, role: "desk", reason: "Same card", body };
  await storePage(pageOf([await other.make({ ...asked, person: newUuid7() })], { from: 4 }));
  const page = pageOf([await other.make({ ...asked, person: id })], { from: 5 });
  const decrypt = crypto.subtle.decrypt;
  crypto.subtle.decrypt = async (...given) => {
    crypto.subtle.decrypt = decrypt;
    await storePage(page);
    return decrypt.apply(crypto.subtle, given);
  };
  assert.equal(await putOffPerson(id, null, LATE_MS), false);
  assert.equal(await cursorOf("saltpan"), 6);
});

test("nobody of whom something waits, was refused or withdrawn here, or is being typed", async () => {
  const { id } = await twoPeople();
  await keepDraft(`capture/${id}/R/pressure`, { typed: "1" });
  assert.equal(await putOffPerson(id, null, LATE_MS), false);
  await emptyDevice();
  const again = await twoPeople();
  const kept = await keepRecord(whiteToWhite(again.id));
  assert.equal(await putOffPerson(again.id, null, LATE_MS), false);
  const reason = { code: "role.not_held", message: "No such role." };
  await keepReceipts([{ id: kept.id, result: "refused", n: null, reason }], "1");
  assert.equal(await putOffPerson(again.id, null, LATE_MS), false);
  await withdrawRefused(kept.id, "R. Ambler", "typed twice");
  assert.equal(await putOffPerson(again.id, null, LATE_MS), false);
});

test("a receipt alone is not long enough: the base has to have said since when", async () => {
  const { id } = await twoPeople();
  const kept = await keepRecord(whiteToWhite(id));
  await keepReceipts([{ id: kept.id, result: "stored", n: 5, reason: null }], "1");
  assert.equal((await allOf("outbox")).length, 0);
  assert.equal(await putOffPerson(id, null, LATE_MS + 10 * KEPT_DAYS * DAY_MS), false);
});

test("nothing is recorded of somebody whose records are not here", async () => {
  const { id, neighbour } = await twoPeople();
  await putOffPerson(id, null, LATE_MS);
  await assert.rejects(keepRecord(whiteToWhite(id)), /lie at the base only/);
  assert.equal((await allOf("outbox")).length, 0);
  await keepRecord(whiteToWhite(neighbour));
});

test("something newer is not taken in alone: it is noted, and the cursor goes on", async () => {
  const { id, other } = await twoPeople();
  await putOffPerson(id, null, LATE_MS);
  const newer = await other.make({ ...whiteToWhite(id), eye: "L" });
  assert.equal(await storePage(pageOf([newer], { from: 4 })), true);
  assert.deepEqual(await kindsOf(id), ["person.registered"]);
  assert.deepEqual(await putOff(), [{ person: id, back_on: null, news: 1 }]);
  assert.equal(await cursorOf("saltpan"), 5);
});

test("after a restore nobody is put off: all of it is read again", async () => {
  const { id, made } = await twoPeople();
  await putOffPerson(id, null, LATE_MS);
  await noteEpoch("2");
  await storePage(pageOf(made, { epoch: "2" }));
  assert.equal((await kindsOf(id)).length, 2);
  assert.equal(await takeBack(id, answerOf(made, id, "1"), undefined), false);
});

test("a site that nobody here works at is left, and fetched from its start by whoever comes back", async () => {
  const { id, made } = await twoPeople();
  assert.deepEqual(await leaveSites(), []);
  const user = { ...AMBLER, roles: [{ role: "optometrist", site: "north-quay" }, { role: "administrator", site: "saltpan" }] };
  await changeEnrolment(AMBLER.id, () => ({ user }));
  assert.deepEqual(await leaveSites(), ["saltpan"]);
  for (const store of ["records", "summaries", "seen"]) assert.equal((await allOf(store)).length, 0, store);
  assert.equal(await cursorOf("saltpan"), 0);
  await storePage(pageOf(made));
  assert.equal((await kindsOf(id)).length, 2);
});

test("a site of which something waits or is typed is not left, nor one where a colleague works", async () => {
  const { id } = await twoPeople();
  const elsewhere = { ...AMBLER, roles: [{ role: "optometrist", site: "north-quay" }] };
  await keepDraft(`capture/${id}/R/pressure`, { typed: "1" });
  await changeEnrolment(AMBLER.id, () => ({ user: elsewhere }));
  assert.deepEqual(await leaveSites(), []);
  await emptyDevice();
  const again = await twoPeople();
  await keepRecord(whiteToWhite(again.id));
  await changeEnrolment(AMBLER.id, () => ({ user: elsewhere }));
  assert.deepEqual(await leaveSites(), []);
  await emptyDevice();
  await twoPeople();
  await enrolHere({ ...AMBLER, id: "u-quill" });
  await changeEnrolment(AMBLER.id, () => ({ user: elsewhere }));
  assert.deepEqual(await leaveSites(), []);
});

/** What is here of a person: whole, or the registration under a mark. @param {any} app @param {string} id */
async function whatIsHere(app, id) {
  const entries = (await app.entriesOfPerson(id)).length;
  return `${entries}, ${(await app.isPutOff(id)) ? "put off" : "here"}`;
}

test("killed while putting off or taking back: whole here, or the registration under its mark", async () => {
  await killAtEachStep({
    prepare: twoPeople,
    work: (app, { id }) => app.putOffPerson(id, null, LATE_MS),
    look: (app, { id }) => whatIsHere(app, id),
    states: ["2, here", "1, put off"],
  });
  await killAtEachStep({
    prepare: async () => {
      const scene = await twoPeople();
      await putOffPerson(scene.id, null, LATE_MS);
      return scene;
    },
    work: (app, { id, made }) => app.takeBack(id, answerOf(made, id), 0),
    look: (app, { id }) => whatIsHere(app, id),
    states: ["1, put off", "2, here"],
  });
});
