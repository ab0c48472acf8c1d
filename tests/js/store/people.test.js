/** The list of a camp without any calculation, and noticing that a person may be here already. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { emptyDevice, enrolHere, keepReceipt, registration, whiteToWhite } from "./device.js";
import { possibleDuplicates } from "../../../static/store/duplicates.js";
import { keepRecord } from "../../../static/store/journal.js";
import { peopleAt, personHere } from "../../../static/store/people.js";
import { withdrawRefused } from "../../../static/store/outbox.js";
import { keepSummary } from "../../../static/store/summaries.js";

beforeEach(async () => {
  await emptyDevice();
  await enrolHere();
});

/** @param {Partial<ReturnType<typeof registration>["body"]>} part */
const asked = (part) => ({
  ...{ ...registration("Nobody Alike").body, village: "Elsewhere", camp_code: "SP-999" },
  ...part,
});

/** @param {Partial<ReturnType<typeof registration>["body"]>} part */
async function alike(part) {
  const found = await possibleDuplicates(/** @type {any} */ (asked(part)), "saltpan");
  return found.map(({ person, why }) => [person.name, why]);
}

test("people are listed by name with what waits and what was last calculated", async () => {
  const second = await keepRecord(registration("Oda Brandreth"));
  const first = await keepRecord(registration("Ilse Hartnoll"));
  await keepRecord(whiteToWhite(first.payload.person));
  await keepSummary(second.payload.person, { state: "ready" });
  const rows = await peopleAt("saltpan");
  assert.deepEqual(
    rows.map(({ name, waiting, summary }) => [name, waiting, summary]),
    [
      ["Ilse Hartnoll", 2, null],
      ["Oda Brandreth", 1, { state: "ready" }],
    ],
  );
});

test("a corrected registration replaces the first one in the list", async () => {
  const { id, payload } = await keepRecord(registration("Ilse Hartnol"));
  const corrected = registration("Ilse Hartnoll", payload.person);
  await keepRecord({ ...corrected, replaces: id, reason: "spelling" });
  assert.deepEqual((await peopleAt("saltpan")).map(({ name }) => name), ["Ilse Hartnoll"]);
  assert.equal((await personHere(payload.person))?.name, "Ilse Hartnoll");
});

test("a correction that the base refused leaves the first registration in the list", async () => {
  const { id, payload } = await keepRecord(registration("Ilse Hartnoll"));
  const corrected = registration("Somebody Else", payload.person);
  const second = await keepRecord({ ...corrected, replaces: id, reason: "spelling" });
  const reason = { code: "role.not_held", message: "No." };
  await keepReceipt({ id: second.id, result: "refused", n: null, reason }, "1");
  assert.deepEqual((await peopleAt("saltpan")).map(({ name }) => name), ["Ilse Hartnoll"]);
});

test("what was refused still waits for somebody, what was withdrawn does not", async () => {
  const { id, payload } = await keepRecord(registration("Ilse Hartnoll"));
  const reading = await keepRecord(whiteToWhite(payload.person));
  const reason = { code: "role.not_held", message: "No." };
  await keepReceipt({ id, result: "stored", n: 1, reason: null }, "1");
  await keepReceipt({ id: reading.id, result: "refused", n: null, reason }, "1");
  assert.equal((await personHere(payload.person))?.waiting, 1);
  await withdrawRefused(reading.id, "R. Ambler", "Read off the wrong eye");
  assert.equal((await personHere(payload.person))?.waiting, 0);
});

test("the same name is noticed whatever its accents, case and order", async () => {
  await keepRecord(registration("Zo\u00eb Lindqvist"));
  assert.deepEqual(await alike({ name: "LINDQVIST, Zoe" }), [["Zo\u00eb Lindqvist", "the same name"]]);
});

test("the same phone number is noticed whatever its spaces", async () => {
  const { body, ...rest } = registration();
  await keepRecord({ ...rest, body: { ...body, phone: "055 12-34" } });
  assert.deepEqual(await alike({ phone: /** @type {any} */ ("0551234") }), [
    ["Ilse Hartnoll", "the same phone number"],
  ]);
});

test("one slip in a name is noticed with the same birth or the same village", async () => {
  await keepRecord(registration("Ilse Hartnoll"));
  const slip = { name: "Ilse Hartnol", birth_year: 1950 };
  assert.deepEqual(await alike(slip), []);
  assert.deepEqual(await alike({ ...slip, birth_year: 1996 }), [
    ["Ilse Hartnoll", "a like name and the same birth"],
  ]);
  assert.deepEqual(await alike({ ...slip, village: "saltpan row" }), [
    ["Ilse Hartnoll", "a like name in the same village"],
  ]);
});

test("different people of one village are not called alike", async () => {
  await keepRecord(registration("Ilse Hartnoll"));
  assert.deepEqual(await alike({ name: "Oda Brandreth", village: "Saltpan Row" }), []);
});

test("a camp code that somebody has already is noticed, however it is spaced", async () => {
  await keepRecord(registration("Ilse Hartnoll"));
  assert.deepEqual(await alike({ camp_code: "sp 101" }), [["Ilse Hartnoll", "the same camp code"]]);
});

test("a vowel sign is a letter of the name, a vowel point is not", async () => {
  await keepRecord(registration("\u0938\u0940\u0924\u093e"));
  await keepRecord(registration("\u0646\u064f\u0648\u0631\u0627"));
  assert.deepEqual(await alike({ name: "\u0938\u0941\u0924\u0940" }), []);
  const pointless = "\u0646\u0648\u0631\u0627";
  assert.equal((await alike({ name: pointless })).length, 1);
});

test("somebody of another camp is noticed by name, and never by the camp's code", async () => {
  const there = registration("Ilse Hartnoll");
  await keepRecord({ ...there, site: "north-quay" });
  const noticed = async (/** @type {any} */ part) => {
    const found = await possibleDuplicates(/** @type {any} */ (asked(part)), "saltpan", ["saltpan", "north-quay"]);
    return found.map(({ person, why }) => [person.site, why]);
  };
  assert.deepEqual(await noticed({ name: "Ilse Hartnoll" }), [["north-quay", "the same name"]]);
  assert.deepEqual(await noticed({ camp_code: there.body.camp_code }), []);
  assert.deepEqual(await alike({ name: "Ilse Hartnoll" }), []);
});
