/** The browser's code does what the phone of the simulation does: both pass one file. */
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import "./few_rounds.js";
import { otherDevice, pageOf } from "./base.js";
import { AMBLER, allOf, emptyDevice, enrolHere, keepReceipt, openedRecords, PASSPHRASE, registration, whiteToWhite } from "./device.js";
import { keepRecord } from "../../../static/store/journal.js";
import { keepKeys } from "../../../static/store/keys.js";
import { refused, tryAgain, waiting } from "../../../static/store/outbox.js";
import { cursorOf, noteEpoch, storePage } from "../../../static/store/pages.js";
import { putOffPerson, takeBack } from "../../../static/store/put_off.js";
import { putOff } from "../../../static/store/put_off_marks.js";
import { isNotYet } from "../../../static/store/receipts.js";
import { forgetGivenUp, givenUpKey, nextKey, takeNextKey } from "../../../static/store/renewal.js";

/** When the base of the tests received everything. */
const RECEIVED_MS = Date.parse("2026-11-25T05:00:00.000Z");
const DAY_MS = 86_400_000;
const FILE = new URL("../../vectors/phone_model.json", import.meta.url);
const { scenarios, waits, stops } = JSON.parse(readFileSync(FILE, "utf8"));

/** What stands behind the names of a scenario: record name -> id and envelope. */
class Named {
  /** @type {Map<string, { id: string, envelope: any, payload: any }>} */
  made = new Map();
  person = "";

  /** @param {Awaited<ReturnType<typeof otherDevice>>} other */
  async sign(other) {
    const first = await other.make(registration("Oda Brandreth"));
    this.made.set("q1", first);
    for (const name of ["q2", "q3"]) {
      this.made.set(name, await other.make(whiteToWhite(first.payload.person ?? "")));
    }
  }

  /** @param {string} name */
  async keep(name) {
    const asked = this.person ? whiteToWhite(this.person) : registration();
    const { id, payload } = await keepRecord(asked);
    this.person = payload.person;
    const row = (await openedRecords()).find((one) => one.id === id);
    assert.ok(row);
    this.made.set(name, { id, payload, envelope: { p: row.p, kid: row.kid, sig: row.sig } });
  }

  /** @param {string} id */
  nameOf(id) {
    return [...this.made].find(([, one]) => one.id === id)?.[0] ?? "?";
  }

  /** @param {string} name */
  find(name) {
    return /** @type {{ id: string, envelope: any, payload: any }} */ (this.made.get(name));
  }
}

/**
 * @param {any} step
 * @param {Named} named
 */
async function told(step, named) {
  if (step.keep) return named.keep(step.keep);
  if (step.try_again) return tryAgain(named.find(step.try_again).id);
  if (step.next_key) return void (await nextKey(AMBLER.id, PASSPHRASE));
  if (step.take_next_key) return takeNextKey(AMBLER.id, PASSPHRASE);
  if (step.closed) return forgetGivenUp(AMBLER.id);
  if (step.epoch_heard) return noteEpoch(step.epoch_heard);
  if (step.receipt) {
    const { id, result, n, code } = step.receipt;
    const reason = code ? { code, message: "Because." } : null;
    return keepReceipt({ id: named.find(id).id, result, n, reason }, step.epoch);
  }
  const persons = { q: named.find("q1").payload.person, o: named.person };
  if (step.put_off) {
    const nowMs = RECEIVED_MS + step.days * DAY_MS + 1000;
    return putOffPerson(persons[/** @type {"q" | "o"} */ (step.put_off)], null, nowMs);
  }
  if (step.take_back) {
    const { epoch, given, asked_at: askedAt } = step;
    const { records } = pageOf(given.map((/** @type {string} */ name) => named.find(name)));
    const answer = { epoch, records: records.map((record) => ({ ...record, site: "saltpan" })) };
    return takeBack(persons.q, answer, askedAt);
  }
  const { epoch, from, records } = step.page;
  const made = records.map((/** @type {string} */ name) => named.find(name));
  return storePage(pageOf(made, { from, epoch }));
}

/** @param {Named} named */
async function stateOf(named) {
  /** @param {{ id: string }[]} rows */
  const names = (rows) => rows.map(({ id }) => named.nameOf(id)).sort();
  const records = (await allOf("records")).map(({ id, received, state }) => [
    named.nameOf(id),
    [received, state],
  ]);
  return {
    records: Object.fromEntries(records),
    waiting: names(await waiting()),
    refused: names(await refused()),
    cursor: await cursorOf("saltpan"),
  };
}

/** @param {Named} named */
async function newsOf(named) {
  const marks = await putOff();
  return Object.fromEntries(marks.map(({ person, news }) => [person === named.person ? "o" : "q", news]));
}

/** @param {string} first the key that is called o */
async function givenUp(first) {
  const old = await givenUpKey(AMBLER.id);
  return old && [old.kid === first ? "o" : old.kid, old.signed];
}

for (const { name, steps } of scenarios) {
  test(`as the model: ${name}`, async () => {
    await emptyDevice();
    const { kid } = await enrolHere();
    const other = await otherDevice();
    await keepKeys([other.key]);
    await noteEpoch("1");
    const named = new Named();
    await named.sign(other);
    for (const step of steps) {
      const answer = await told(step, named);
      if ("answer" in step) assert.equal(answer, step.answer);
      const { records, waiting: waits, refused: turnedAway, cursor } = step;
      assert.deepEqual(await stateOf(named), { records, waiting: waits, refused: turnedAway, cursor });
      if ("news" in step) assert.deepEqual(await newsOf(named), step.news);
      if ("given_up" in step) assert.deepEqual(await givenUp(kid), step.given_up);
    }
  });
}

/** @param {string} code */
const isWaitedFor = (code) => isNotYet({ id: "o1", result: "refused", n: null, reason: { code, message: "" } });

test("what may still come is waited for, and nothing else is", () => {
  assert.deepEqual(waits.filter((/** @type {string} */ code) => !isWaitedFor(code)), []);
  assert.deepEqual(stops.filter(isWaitedFor), []);
});
