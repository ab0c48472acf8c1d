/** A phone used in the clear by an older version is sealed at its first unlocking, whole or not at all. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import "./few_rounds.js";
import { allOf, emptyDevice, PASSPHRASE, whiteToWhite } from "./device.js";
import { crashing } from "./crashing.js";
import { oldPhone } from "./old_phone.js";
import { readDraft } from "../../../static/store/drafts.js";
import { currentIdentity, peopleOfThisDevice } from "../../../static/store/identity.js";
import { entriesOfPerson, keepRecord } from "../../../static/store/journal.js";
import { readSealedFact } from "../../../static/store/meta.js";
import { waiting } from "../../../static/store/outbox.js";
import { peopleAt } from "../../../static/store/people.js";
import { seenOf } from "../../../static/store/seen.js";
import { unlock } from "../../../static/store/unlock.js";
import { lock } from "../../../static/store/vault.js";

/** @type {{ kid: string, person: string }} */
let old;

beforeEach(async () => {
  await emptyDevice();
  old = await oldPhone();
});

/** Rows in the clear and sealed rows of the stores that hold what was said. */
async function state() {
  const rows = (await Promise.all(["records", "drafts", "summaries", "seen"].map(allOf))).flat();
  const sealed = rows.filter((row) => "box" in row).length;
  const clear = rows.filter((row) => "p" in row || "value" in row || "summary" in row).length;
  const [vault] = (await allOf("meta")).filter(({ name }) => name === "vault");
  return { clear, sealed, hasVault: Boolean(vault) };
}

test("before anybody gave a passphrase nobody works there", async () => {
  assert.equal(await currentIdentity(), null);
  assert.deepEqual((await peopleOfThisDevice()).map(({ id }) => id).sort(), ["u-ambler", "u-quill"]);
});

test("a wrong passphrase seals nothing and opens nothing", async () => {
  assert.equal((await unlock("u-ambler", "wrong")).ok, false);
  assert.deepEqual(await state(), { clear: 5, sealed: 0, hasVault: false });
});

test("the first right passphrase seals everything, and everything is there", async () => {
  assert.deepEqual(await unlock("u-ambler", PASSPHRASE), { ok: true, why: null });
  assert.deepEqual(await state(), { clear: 0, sealed: 5, hasVault: true });
  assert.equal((await entriesOfPerson(old.person)).length, 2);
  assert.deepEqual((await peopleAt("saltpan")).map(({ name, summary }) => [name, summary.note]), [["Ilse Hartnoll", "Ilse"]]);
  assert.deepEqual((await waiting()).map(({ seq, author, eye }) => [seq, author, eye]), [[1, "u-ambler", null], [2, "u-ambler", "R"]]);
  assert.deepEqual(await readDraft("new-person"), { name: "Oda Brandreth" });
  assert.deepEqual(await seenOf(`u-ambler/${old.person}.R`), { note: "Ilse" });
  assert.equal((await readSealedFact("heard")).lastHeard, "2026-11-25T05:00:00.000Z");
});

test("work goes on with the old key, on its chain, also after the next lock", async () => {
  await unlock("u-ambler", PASSPHRASE);
  lock();
  await unlock("u-ambler", PASSPHRASE);
  const { payload } = await keepRecord(whiteToWhite(old.person));
  assert.deepEqual([payload.key, payload.seq], [old.kid, 3]);
});

test("another person's key of the old version does not stay in the clear; they sign in again", async () => {
  await unlock("u-ambler", PASSPHRASE);
  const quill = (await allOf("identities")).find(({ userId }) => userId === "u-quill");
  assert.deepEqual([quill.privateKey, quill.verifier, quill.lock], [undefined, undefined, null]);
  lock();
  assert.match((await unlock("u-quill", PASSPHRASE)).why ?? "", /Sign in with the network/);
});

test("stopped at each of its steps, the phone is as before or sealed, and opens afterwards", async () => {
  for (let step = 1; ; step += 1) {
    await emptyDevice();
    old = await oldPhone();
    const steps = await crashing(() => unlock("u-ambler", PASSPHRASE), step);
    lock();
    const { clear, sealed, hasVault } = await state();
    assert.ok([`5 0 false`, `0 5 true`].includes(`${clear} ${sealed} ${hasVault}`), `step ${step}: ${clear} ${sealed}`);
    assert.deepEqual(await unlock("u-ambler", PASSPHRASE), { ok: true, why: null }, `after step ${step}`);
    assert.equal((await entriesOfPerson(old.person)).length, 2);
    assert.deepEqual(await readDraft("new-person"), { name: "Oda Brandreth" });
    if (steps < step) break;
    assert.ok(step < 200, "it never got through");
  }
});
