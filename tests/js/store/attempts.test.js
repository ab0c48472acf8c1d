/** Guessing at the lock: counted before tried, slower and slower, at the tenth the key is gone. */
import assert from "node:assert/strict";
import { beforeEach, mock, test } from "node:test";
import { allOf, emptyDevice, enrolHere, PASSPHRASE, registration } from "./device.js";
import { countTry, MOST_WRONG, waitAfterMs } from "../../../static/store/attempts.js";
import { changeEnrolment } from "../../../static/store/enrolments.js";
import { currentIdentity, peopleOfThisDevice } from "../../../static/store/identity.js";
import { keepRecord } from "../../../static/store/journal.js";
import { counts } from "../../../static/store/outbox.js";
import { checkPassphrase, unlock } from "../../../static/store/unlock.js";
import { lock } from "../../../static/store/vault.js";

const YEAR_MS = 365 * 86_400_000;

beforeEach(async () => {
  mock.timers.reset();
  mock.timers.enable({ apis: ["Date"], now: Date.parse("2026-11-25T08:00:00Z") });
  await emptyDevice();
  await enrolHere();
});

/** Wait as long as is asked for, then guess. */
async function guess(passphrase = "wrong") {
  const [{ wrongTries }] = await allOf("identities");
  mock.timers.tick(waitAfterMs(wrongTries));
  return unlock("u-ambler", passphrase);
}

test("the waits double after three free tries", () => {
  assert.deepEqual([0, 3, 4, 5, 6, 9].map(waitAfterMs), [0, 0, 5_000, 10_000, 20_000, 160_000]);
});

test("a guess too early is not made, not even the right one, and is not counted", async () => {
  for (let wrong = 0; wrong < 4; wrong += 1) await guess();
  const early = await unlock("u-ambler", PASSPHRASE);
  assert.equal(early.ok, false);
  assert.match(early.why ?? "", /Wait 5 seconds/);
  assert.equal((await allOf("identities"))[0].wrongTries, 4);
  assert.equal((await guess(PASSPHRASE)).ok, true);
  assert.equal((await allOf("identities"))[0].wrongTries, 0);
});

test("a clock set back costs one wait, not years", async () => {
  for (let wrong = 0; wrong < 4; wrong += 1) await guess();
  await changeEnrolment("u-ambler", ({ lastTryMs }) => ({ lastTryMs: lastTryMs + YEAR_MS }));
  assert.equal((await unlock("u-ambler", PASSPHRASE)).ok, false);
  assert.equal((await guess(PASSPHRASE)).ok, true);
});

test("at the tenth wrong one the key is off the phone, the data stay, and it says what to do", async () => {
  await keepRecord(registration());
  lock();
  for (let wrong = 1; wrong < MOST_WRONG; wrong += 1) {
    assert.match((await guess()).why ?? "", new RegExp(`${MOST_WRONG - wrong} tr(y is|ies are) left`));
  }
  assert.match((await guess()).why ?? "", /taken off this phone.*Sign in with the network/s);
  assert.match((await guess(PASSPHRASE)).why ?? "", /taken off this phone/);
  const [row] = await allOf("identities");
  assert.equal(row.lock, null);
  assert.deepEqual(await counts(), { waiting: 1, refused: 0 });
  assert.match((await peopleOfThisDevice())[0]?.locked ?? "", /taken off this phone/);
});

test("the tries before an approval count as well, and the tenth locks the phone", async () => {
  for (let wrong = 0; wrong < MOST_WRONG; wrong += 1) {
    const [{ wrongTries }] = await allOf("identities");
    mock.timers.tick(waitAfterMs(wrongTries));
    assert.equal((await checkPassphrase("wrong")).ok, false);
  }
  assert.equal(await currentIdentity(), null);
});

test("killing the app in the middle of the tenth try wins no eleventh", async () => {
  for (let wrong = 1; wrong < MOST_WRONG; wrong += 1) await guess();
  mock.timers.tick(waitAfterMs(MOST_WRONG - 1));
  // Counted, then killed before the answer.
  assert.equal(await countTry("u-ambler"), null);
  assert.equal((await guess(PASSPHRASE)).ok, false);
  assert.equal((await allOf("identities"))[0].lock, null);
});

test("the lock rests on 600,000 rounds", async () => {
  const { ROUNDS } = await import("../../../static/store/passphrase.js");
  assert.ok(ROUNDS >= 600_000, "OWASP Password Storage Cheat Sheet, PBKDF2-HMAC-SHA256");
});
