/** After an exchange: who is put off, who comes back, and which sites are left. */
import assert from "node:assert/strict";
import { afterEach, beforeEach, test } from "node:test";
import { otherDevice } from "../store/base.js";
import { AMBLER, emptyDevice, enrolHere, registration, whiteToWhite } from "../store/device.js";
import { Base } from "./base.js";
import { entriesOfPerson } from "../../../static/store/journal.js";
import { keepFact } from "../../../static/store/meta.js";
import { isPutOff } from "../../../static/store/put_off_marks.js";
import { keepSummary } from "../../../static/store/summaries.js";
import { stopSync, syncNow } from "../../../static/sync/client.js";
import { fetchPerson } from "../../../static/sync/tidy.js";

/** The base of these tests received everything on 25 November 2026. */
const RECEIVED_MS = Date.parse("2026-11-25T05:00:00.000Z");
const DAY_MS = 86_400_000;

/** @type {Base} */
let base;
/** @type {Awaited<ReturnType<typeof otherDevice>>} */
let other;
/** @type {string} */
let person;

beforeEach(async () => {
  await emptyDevice();
  const own = await enrolHere();
  other = await otherDevice();
  base = new Base();
  base.keys = [{ ...own, user: AMBLER.id, name: AMBLER.name, label: "x", revoked: null }, other.key];
  base.install();
  const first = await other.make(registration());
  person = first.payload.person ?? "";
  base.log.push(first, await other.make(whiteToWhite(person)));
});
afterEach(stopSync);

/**
 * Exchange on a day after the records arrived, as the base's clock has it.
 *
 * @param {number} afterDays
 */
async function exchangeOn(afterDays) {
  base.clockAheadMs = RECEIVED_MS + afterDays * DAY_MS - Date.now();
  assert.equal((await syncNow()).ended, "done");
}

/** Have the short account say that nothing is open. @param {string | null} backOn */
const closed = (backOn) => keepSummary(person, { basis: "x", rest: { back_on: backOn } });

const here = async () => (await entriesOfPerson(person)).length;

test("somebody done with for long is put off, and fetched by the button", async () => {
  await exchangeOn(0);
  await closed(null);
  await exchangeOn(89);
  assert.equal(await here(), 2);
  await exchangeOn(91);
  assert.deepEqual([await here(), await isPutOff(person)], [1, true]);
  await fetchPerson(person);
  assert.deepEqual([await here(), await isPutOff(person)], [2, false]);
});

test("of whom something is open nothing goes, however long ago", async () => {
  await exchangeOn(0);
  await keepSummary(person, { basis: "x", rest: null });
  await exchangeOn(400);
  assert.equal(await here(), 2);
});

test("something newer at the base brings all of it back in the same exchange", async () => {
  await exchangeOn(0);
  await closed(null);
  await exchangeOn(91);
  base.log.push(await other.make({ ...whiteToWhite(person), eye: "L" }));
  await exchangeOn(92);
  assert.deepEqual([await here(), await isPutOff(person)], [3, false]);
});

test("before a planned visit the records come back, and are not put off again on that day", async () => {
  await exchangeOn(0);
  await closed("2027-03-20");
  await exchangeOn(91);
  assert.equal(await isPutOff(person), true);
  // 25 November and 115 days: 20 March.
  await exchangeOn(114);
  assert.equal(await isPutOff(person), true);
  await exchangeOn(115);
  assert.equal(await isPutOff(person), false);
  await closed("2027-03-20");
  await exchangeOn(116);
  assert.deepEqual([await here(), await isPutOff(person)], [2, false]);
});

test("it is looked at once a day, and a fetched person stays for that day", async () => {
  await exchangeOn(0);
  await closed(null);
  await exchangeOn(91);
  await fetchPerson(person);
  await closed(null);
  await exchangeOn(91);
  assert.equal(await isPutOff(person), false);
});

test("a base that knows nothing of them any more is no reason to stop the exchange", async () => {
  await exchangeOn(0);
  await closed("2027-03-20");
  await exchangeOn(91);
  base.log.length = 0;
  await exchangeOn(120);
  assert.equal(await isPutOff(person), true);
  await assert.rejects(fetchPerson(person), { name: "RefusedError" });
});

test("a base in a new life meanwhile: nothing is taken from it by halves", async () => {
  await exchangeOn(0);
  await closed(null);
  await exchangeOn(91);
  await keepFact("epoch", "0");
  await assert.rejects(fetchPerson(person), /restored meanwhile/);
  assert.equal(await isPutOff(person), true);
});
