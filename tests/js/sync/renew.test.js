/** A new key on the phone: killed anywhere, stopped by the network or the base, nothing is lost. */
import assert from "node:assert/strict";
import { afterEach, beforeEach, test } from "node:test";
import "../store/few_rounds.js";
import { AMBLER, allOf, emptyDevice, enrolHere, PASSPHRASE, registration, whiteToWhite } from "../store/device.js";
import { killAtEachStep } from "../store/every_step.js";
import { startApp, startUnlocked } from "../store/realm.js";
import { Base } from "./base.js";
import { currentIdentity } from "../../../static/store/identity.js";
import { keepRecord } from "../../../static/store/journal.js";
import { counts } from "../../../static/store/outbox.js";
import { givenUpKey } from "../../../static/store/renewal.js";
import { unlock } from "../../../static/store/unlock.js";
import { heldKeys, lock } from "../../../static/store/vault.js";
import { stopSync, syncNow } from "../../../static/sync/client.js";
import { renewKey } from "../../../static/sync/renew.js";

/** @typedef {{ base: Base, old: string, person: string }} Scene */

/** A phone with two records of its key that wait, and a base that takes them. @returns {Promise<Scene>} */
async function twoWait() {
  const own = await enrolHere();
  const { payload } = await keepRecord(registration());
  await keepRecord(whiteToWhite(payload.person));
  const base = new Base();
  base.keys = [{ ...own, user: AMBLER.id, name: AMBLER.name, label: "x", revoked: 0 }];
  base.passphrase = PASSPHRASE;
  base.install();
  return { base, old: own.kid, person: payload.person };
}

/** The chain of a key as it is at the base: seq of each record, in order of arrival. @param {Base} base @param {string} kid */
const placesAt = (base, kid) =>
  base.log.filter(({ payload }) => payload.key === kid).map(({ payload }) => payload.seq);

beforeEach(async () => {
  await emptyDevice();
});
// A plan to try again would keep a failed run from ending.
afterEach(stopSync);

test("a new key signs, the old one's records are at the base, and it is closed after the last of them", async () => {
  const { base, old, person } = await twoWait();
  await renewKey(PASSPHRASE);
  const { kid = "", privateKey } = (await currentIdentity()) ?? {};
  assert.notEqual(kid, old);
  assert.equal(privateKey?.extractable, false);
  assert.deepEqual([...base.named], [kid]);
  assert.deepEqual(base.closed.get(old), { successor: kid, last_seq: 2 });
  assert.deepEqual(placesAt(base, old), [1, 2]);
  assert.equal(await givenUpKey(AMBLER.id), null);
  const { payload } = await keepRecord(whiteToWhite(person, 11_700));
  assert.deepEqual([payload.key, payload.seq, payload.prev], [kid, 1, null]);
  lock();
  assert.equal((await unlock(AMBLER.id, PASSPHRASE)).ok, true);
  assert.equal(heldKeys()?.kid, kid);
});

test("killed at any step: the old key signs or the new one, and the same button goes on", async () => {
  const steps = await killAtEachStep({
    prepare: twoWait,
    work: async (app) => {
      await app.renewKey(PASSPHRASE);
      app.stopSync();
    },
    restart: async () => {
      const app = await startApp();
      assert.deepEqual(await app.unlock(AMBLER.id, PASSPHRASE), { ok: true, why: null });
      return app;
    },
    start: () => startUnlocked(),
    look: async (app, { base, old, person }) => {
      const { kid } = await app.currentIdentity();
      const rows = await allRows(app);
      // Each record of the old key is at the base or waits to be sent, and none was refused.
      const atBase = new Set(base.log.map(({ id }) => id));
      for (const { id } of rows.records) assert.ok(atBase.has(id) || rows.waits.has(id), "lost");
      assert.equal((await app.refused()).length, 0);
      if (kid === old) {
        assert.equal(base.closed.size, 0, "closed while the phone still signs with it");
        return "old";
      }
      assert.ok(base.named.has(kid), "the base does not know the key that signs");
      const isForgotten = (await app.givenUpKey(AMBLER.id)) === null;
      if (isForgotten) {
        assert.ok(base.closed.has(old), "forgotten and still open");
        // A key that was named and never used would wait at the base for ever.
        assert.equal(base.named.size, 1, "a second key was made on the way");
        const { payload } = await app.keepRecord(whiteToWhite(person));
        assert.equal(payload.key, kid);
        await app.syncNow();
        assert.equal((await app.refused()).length, 0);
      }
      return isForgotten ? "new, old closed" : "new, old open";
    },
    states: ["old", "new, old open", "new, old closed"],
  });
  assert.ok(steps >= 40, `only ${steps} steps were seen`);
});

/** @param {any} app */
async function allRows(app) {
  const read = (/** @type {string} */ store) =>
    app.withDatabase((/** @type {any} */ database) => database.getAll(store));
  const waits = new Set((await read("outbox")).map((/** @type {any} */ { id }) => id));
  return { records: await read("records"), waits };
}

test("without the network nothing changes, and the old key goes on", async () => {
  const { old, person } = await twoWait();
  globalThis.fetch = async () => {
    throw new TypeError("no network");
  };
  await assert.rejects(renewKey(PASSPHRASE), /could not be reached/);
  assert.equal((await currentIdentity())?.kid, old);
  assert.equal((await keepRecord(whiteToWhite(person))).payload.key, old);
});

test("a wrong passphrase makes no key, here or at the base", async () => {
  const { base, old } = await twoWait();
  await assert.rejects(renewKey("not this one"), /not the passphrase/);
  assert.equal((await currentIdentity())?.kid, old);
  assert.equal(base.named.size, 0);
  assert.equal((await allOf("identities"))[0].next, undefined);
});

test("in another person's session no key is named in their name", async () => {
  const { base, old } = await twoWait();
  base.userId = "u-verrill";
  await assert.rejects(renewKey(PASSPHRASE), /another person/);
  assert.equal(base.named.size, 0);
  assert.equal((await currentIdentity())?.kid, old);
});

test("a lost answer costs one more try with the same new key", async () => {
  const { base, old } = await twoWait();
  base.losesAnswer = (path) => path === "/auth/enrol";
  await assert.rejects(renewKey(PASSPHRASE));
  assert.equal((await currentIdentity())?.kid, old);
  base.losesAnswer = () => false;
  await renewKey(PASSPHRASE);
  assert.equal(base.named.size, 1);
});

test("what cannot be sent keeps the old key open, and it is closed once that arrived", async () => {
  const { base, old } = await twoWait();
  let isDown = true;
  base.fault = (path) => (isDown && path === "/sync/push" ? new Response("x", { status: 502 }) : null);
  await assert.rejects(renewKey(PASSPHRASE), /device.unsent/);
  assert.notEqual((await currentIdentity())?.kid, old);
  assert.deepEqual(await givenUpKey(AMBLER.id), { kid: old, signed: 2 });
  assert.equal((await counts()).waiting, 2);
  isDown = false;
  await renewKey(PASSPHRASE);
  assert.deepEqual([placesAt(base, old), base.named.size], [[1, 2], 1]);
  assert.equal(await givenUpKey(AMBLER.id), null);
});

test("a new key that was revoked before it was used makes way for another", async () => {
  const { base } = await twoWait();
  const revoked = Response.json({ status: 409, detail: "Revoked.", code: "device.taken" }, {
    status: 409,
    headers: { "Content-Type": "application/problem+json" },
  });
  base.fault = (path) => (path === "/auth/enrol" ? revoked : null);
  await assert.rejects(renewKey(PASSPHRASE), /Revoked/);
  base.fault = () => null;
  assert.equal((await allOf("identities"))[0].next, null);
  await renewKey(PASSPHRASE);
  assert.equal(base.named.size, 1);
});

test("a base that lost the closing is asked for it again, once it says that the old key is open", async () => {
  const { base, old } = await twoWait();
  await renewKey(PASSPHRASE);
  const { kid = "" } = (await currentIdentity()) ?? {};
  const open = (/** @type {string} */ one) => ({ kid: one, user: AMBLER.id, name: AMBLER.name, label: "x", last_heard: null });
  base.devices = [open(kid)];
  await syncNow();
  assert.equal(await givenUpKey(AMBLER.id), null, "the base has it closed");
  // A copy from before the closing was put back.
  base.closed.clear();
  base.devices = [open(kid), open(old)];
  await syncNow();
  assert.deepEqual(await givenUpKey(AMBLER.id), { kid: old, signed: 2 });
  await renewKey(PASSPHRASE);
  assert.deepEqual(base.closed.get(old), { successor: kid, last_seq: 2 });
  assert.equal((await currentIdentity())?.kid, kid, "no other key was made");
  assert.equal(await givenUpKey(AMBLER.id), null);
});

test("a key of somebody else, or another one of one's own, is not given up", async () => {
  const { base } = await twoWait();
  base.devices = [{ kid: "f".repeat(64), user: AMBLER.id, name: AMBLER.name, label: "y", last_heard: null }];
  await syncNow();
  assert.equal(await givenUpKey(AMBLER.id), null);
});
