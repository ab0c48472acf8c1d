/** The exchange with the base, killed at each step: nothing leaves the outbox that is not at the base. */
import assert from "node:assert/strict";
import { test } from "node:test";
import "../store/few_rounds.js";
import { otherDevice } from "../store/base.js";
import { AMBLER, enrolHere, PASSPHRASE, registration, whiteToWhite } from "../store/device.js";
import { killAtEachStep } from "../store/every_step.js";
import { startApp, startUnlocked } from "../store/realm.js";
import { Base } from "./base.js";
import { keepRecord } from "../../../static/store/journal.js";

/** @import { App } from "../store/realm.js" */

/**
 * @param {App} app
 * @param {string} store
 * @returns {Promise<any[]>}
 */
const allIn = (app, store) => app.withDatabase((/** @type {any} */ database) => database.getAll(store));

/** A phone with two records that wait, and a base that takes them. */
async function twoWait() {
  const own = await enrolHere();
  const { payload } = await keepRecord(registration());
  await keepRecord(whiteToWhite(payload.person));
  const base = new Base();
  base.keys = [{ ...own, user: AMBLER.id, name: AMBLER.name, label: "x", revoked: null }];
  base.install();
  return base;
}

/** What others recorded at the base: three records, the second of them forged if asked for. */
async function withOthers({ isForged = false } = {}) {
  const base = await twoWait();
  const [other, forger] = [await otherDevice(), await otherDevice("u-forger")];
  base.keys.push(other.key, { ...forger.key, kid: "f".repeat(64) });
  const first = await other.make(registration("Oda Brandreth"));
  const made = isForged ? await forger.make(registration("Forged")) : await other.make(whiteToWhite(first.payload.person ?? ""));
  base.log.push(first, made, await other.make(registration("Wen Castellan")));
  return base;
}

/**
 * How many of the phone's own records wait; those that don't are at the base, once each.
 *
 * @param {App} app
 * @param {Base} base
 */
async function waitingHere(app, base) {
  const [outbox, records] = [await allIn(app, "outbox"), await allIn(app, "records")];
  const waits = new Set(outbox.map(({ id }) => id));
  const atBase = base.log.map(({ id }) => id);
  assert.equal(new Set(atBase).size, atBase.length, "a record is at the base twice");
  const own = records.filter(({ kid }) => outbox.length === 0 || kid === outbox[0].kid);
  for (const { id, received } of own) {
    assert.equal(received === null, waits.has(id), "acknowledged, and in the outbox all the same");
    if (!waits.has(id)) assert.ok(atBase.includes(id), "it left the outbox and is not at the base");
  }
  return waits.size;
}

test("sending: what waits waits or is at the base", async () => {
  const steps = await killAtEachStep({
    prepare: twoWait,
    work: (app) => app.push(["saltpan"]),
    look: async (app, base) => {
      assert.equal((await allIn(app, "records")).length, 2);
      return waitingHere(app, base);
    },
    states: [2, 1, 0],
  });
  assert.ok(steps >= 20, `only ${steps} steps were seen`);
});

for (const isForged of [false, true]) {
  test(`fetching a page${isForged ? " with a forged record, which is set aside" : ""}`, async () => {
    const stored = isForged ? "2 stored, 1 aside, cursor 3" : "3 stored, 0 aside, cursor 3";
    const steps = await killAtEachStep({
      prepare: () => withOthers({ isForged }),
      work: (app) => app.pull(["saltpan"]),
      look: async (app) => {
        const records = await app.openedRows(await allIn(app, "records"));
        const others = records.filter((/** @type {any} */ { payload }) => payload.author !== AMBLER.id).length;
        return `${others} stored, ${(await app.setAside()).length} aside, cursor ${await app.cursorOf("saltpan")}`;
      },
      states: ["0 stored, 0 aside, cursor 0", stored],
    });
    assert.ok(steps >= 20, `only ${steps} steps were seen`);
  });
}

test("a record set aside whose key the base names later", async () => {
  await killAtEachStep({
    prepare: async () => {
      const base = await withOthers({ isForged: true });
      const app = await startUnlocked();
      await app.pull(["saltpan"]);
      await app.closeDatabase();
      const { envelope } = /** @type {{ envelope: any }} */ (base.log[1]);
      const forged = /** @type {any} */ (base.keys[2]);
      forged.kid = envelope.kid;
      return base;
    },
    work: (app) => app.pull(["saltpan"]),
    look: async (app) => `${(await allIn(app, "records")).length} records, ${(await app.setAside()).length} aside`,
    states: ["4 records, 1 aside", "5 records, 0 aside"],
  });
});

test("a base restored from a copy: this life and everything offered, or the life before", async () => {
  await killAtEachStep({
    prepare: async () => {
      const base = await withOthers();
      const app = await startUnlocked();
      const { ended } = await app.syncNow();
      assert.equal(ended, "done");
      app.stopSync();
      await app.closeDatabase();
      base.epoch = 2;
      // The copy is from before anything of this phone arrived.
      base.log.length = 0;
      return base;
    },
    work: async (app) => {
      await app.syncNow();
      app.stopSync();
    },
    look: async (app, base) => {
      const [epoch, outbox] = [await app.readFact("epoch"), await allIn(app, "outbox")];
      assert.equal((await allIn(app, "records")).length, 5);
      if (epoch === "1") return `life 1, ${outbox.length} wait`;
      // What is not at the base is offered; nothing else counts as acknowledged in this life.
      const atBase = new Set(base.log.map(({ id }) => id));
      for (const { id } of await allIn(app, "records")) {
        assert.ok(atBase.has(id) || outbox.some((row) => row.id === id), "neither offered nor there");
      }
      return `life 2, ${outbox.length === 0 ? "all there" : "some wait"}`;
    },
    states: ["life 1, 0 wait", "life 2, some wait", "life 2, all there"],
  });
});

/** The addresses of the sign-in, as the base answers them. @param {unknown} path */
async function signedIn(path) {
  const user = AMBLER;
  if (path === "/auth/token") return Response.json({ csrf: "t" });
  if (path === "/auth/enrol") return Response.json({ kid: "", server_time: "x", epoch: 1 });
  return Response.json({ user, sites: [] });
}

test("enrolling a phone: at the next try the same person works here, with one key that signs", async () => {
  const steps = await killAtEachStep({
    prepare: async () => {
      /** @type {Set<string>} */
      const named = new Set();
      const { keyId } = await import("../../../static/records/signing.js");
      const { fromBase64url } = await import("../../../static/records/envelope.js");
      globalThis.fetch = async (path, request) => {
        if (path !== "/auth/enrol") return signedIn(path);
        const { spki } = JSON.parse(String(request?.body));
        const kid = await keyId(fromBase64url(spki, "spki"));
        named.add(kid);
        return Response.json({ kid, server_time: "x", epoch: 1 });
      };
      return named;
    },
    start: startApp,
    work: (app) => app.enrol("ambler", PASSPHRASE),
    look: async (app, named) => {
      const [row, ...others] = await allIn(app, "identities");
      assert.equal(others.length, 0);
      const hasVault = (await app.vaultHere()) !== null;
      assert.equal(Boolean(row), hasVault, "a lock without its data key, or the other way round");
      if (!row?.isEnrolled) return row ? "not named yet" : "nothing";
      // The base knows this very key, and no other was made for it on the way.
      assert.deepEqual([...named], [row.kid]);
      if (!(await app.readFact("current"))) return "enrolled";
      assert.equal((await app.unlock(AMBLER.id, PASSPHRASE)).ok, true);
      await app.chooseSite("saltpan");
      await app.keepRecord(registration());
      return "works here";
    },
    states: ["nothing", "not named yet", "enrolled", "works here"],
  });
  assert.ok(steps >= 30, `only ${steps} steps were seen`);
});
