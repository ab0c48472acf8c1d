/** Letting people in on an encrypted phone: the first alone, others by somebody who is there. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import "./few_rounds.js";
import { AMBLER, allOf, emptyDevice, PASSPHRASE, registration } from "./device.js";
import { crashing } from "./crashing.js";
import { oldPhone } from "./old_phone.js";
import { admit } from "../../../static/store/admit.js";
import { changeEnrolment } from "../../../static/store/enrolments.js";
import { makeCurrent } from "../../../static/store/identity.js";
import { entriesOfPerson, keepRecord } from "../../../static/store/journal.js";
import { fixedKeys } from "../../../static/store/person_lock.js";
import { unlock } from "../../../static/store/unlock.js";
import { holdKeys, lock } from "../../../static/store/vault.js";

const QUILL = { id: "u-quill", name: "T. Quill", roles: [{ role: "optometrist", site: "saltpan" }] };
const NEW = "another passphrase";

const vouch = { userId: AMBLER.id, passphrase: PASSPHRASE };

beforeEach(async () => {
  await emptyDevice();
});

/** @param {typeof AMBLER} user */
const person = (user) => ({ userId: user.id, user, sites: [], site: "saltpan", label: "test" });

/**
 * Let a person in, and say that the base has taken the key.
 *
 * @param {typeof AMBLER} user
 * @param {string} passphrase
 * @param {typeof vouch | null} [voucher]
 */
async function letIn(user, passphrase, voucher = null) {
  const { enrolment, keys } = await admit(person(user), passphrase, { recovery: null, voucher });
  await changeEnrolment(user.id, () => ({ isEnrolled: true }));
  holdKeys({ userId: user.id, kid: enrolment.kid, ...(await fixedKeys(keys)) });
  await makeCurrent(user.id);
  return enrolment;
}

/** @param {string} userId */
const rowOf = async (userId) => (await allOf("identities")).find((row) => row.userId === userId);

test("nobody comes onto an encrypted phone alone", async () => {
  await letIn(AMBLER, PASSPHRASE);
  await assert.rejects(letIn(QUILL, NEW), { name: "VoucherNeeded" });
  await assert.rejects(letIn(QUILL, NEW, { ...vouch, passphrase: "wrong" }), { name: "NotOpened" });
  assert.equal(await rowOf("u-quill"), undefined);
  assert.equal((await rowOf("u-ambler")).wrongTries, 1);
});

test("let in, a second person reads the same records with a key and a passphrase of their own", async () => {
  const { kid } = await letIn(AMBLER, PASSPHRASE);
  const kept = await keepRecord(registration());
  const second = await letIn(QUILL, NEW, vouch);
  assert.notEqual(second.kid, kid);
  lock();
  assert.equal((await unlock("u-quill", PASSPHRASE)).ok, false);
  assert.equal((await unlock("u-quill", NEW)).ok, true);
  assert.equal((await entriesOfPerson(kept.payload.person)).length, 1);
  assert.equal((await unlock("u-ambler", PASSPHRASE)).ok, true);
});

test("signing in again with the same passphrase needs nobody and changes no lock", async () => {
  const first = await letIn(AMBLER, PASSPHRASE);
  assert.deepEqual((await letIn(AMBLER, PASSPHRASE)).lock, first.lock);
});

test("a changed passphrase takes over the key by the one from before", async () => {
  const { kid } = await letIn(AMBLER, PASSPHRASE);
  await assert.rejects(letIn(AMBLER, NEW), { name: "VoucherNeeded" });
  assert.equal((await letIn(AMBLER, NEW, vouch)).kid, kid);
  lock();
  assert.equal((await unlock("u-ambler", PASSPHRASE)).ok, false);
  assert.equal((await unlock("u-ambler", NEW)).ok, true);
});

test("after ten wrong ones somebody else lets the person in, with a new key", async () => {
  await letIn(AMBLER, PASSPHRASE);
  const { kid } = await letIn(QUILL, NEW, vouch);
  await changeEnrolment("u-quill", () => ({ lock: null, wrongTries: 10 }));
  await assert.rejects(letIn(QUILL, NEW), { name: "VoucherNeeded" });
  assert.notEqual((await letIn(QUILL, NEW, vouch)).kid, kid);
  lock();
  assert.equal((await unlock("u-quill", NEW)).ok, true);
});

test("a key of the older version makes way for one that is wrapped", async () => {
  const { kid, person: registered } = await oldPhone();
  await unlock("u-ambler", PASSPHRASE);
  assert.notEqual((await letIn(AMBLER, PASSPHRASE)).kid, kid);
  assert.equal((await rowOf("u-ambler")).privateKey, undefined);
  assert.equal((await entriesOfPerson(registered)).length, 2);
});

test("enrolling, stopped at each of its steps, leaves nothing that a second try does not finish", async () => {
  for (let step = 1; ; step += 1) {
    await emptyDevice();
    const steps = await crashing(() => letIn(AMBLER, PASSPHRASE), step);
    await letIn(AMBLER, PASSPHRASE);
    lock();
    assert.equal((await unlock("u-ambler", PASSPHRASE)).ok, true, `after step ${step}`);
    if (steps < step) break;
    assert.ok(step < 200, "it never got through");
  }
});

test("changing the passphrase, stopped at each step, leaves the old one or the new one", async () => {
  for (let step = 1; ; step += 1) {
    await emptyDevice();
    await letIn(AMBLER, PASSPHRASE);
    const kept = await keepRecord(registration());
    const steps = await crashing(() => letIn(AMBLER, NEW, vouch), step);
    lock();
    const opened = await Promise.all([PASSPHRASE, NEW].map(async (words) => (await unlock("u-ambler", words)).ok));
    assert.deepEqual(opened.filter(Boolean).length, 1, `step ${step}`);
    await unlock("u-ambler", opened[0] ? PASSPHRASE : NEW);
    assert.equal((await entriesOfPerson(kept.payload.person)).length, 1);
    // The key is the old one, or a new one where the self-test was what was stopped; it signs.
    const { payload } = await keepRecord(registration("Oda Brandreth"));
    assert.equal(payload.key, (await rowOf("u-ambler")).kid);
    if (steps < step) break;
    assert.ok(step < 200, "it never got through");
  }
});
