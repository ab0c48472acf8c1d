/** Whatever a person does on the phone, killed at any step it is done or not done, and nothing is lost. */
import assert from "node:assert/strict";
import { test } from "node:test";
import "./few_rounds.js";
import { AMBLER, enrolHere, keepReceipt, PASSPHRASE, registration, whiteToWhite } from "./device.js";
import { killAtEachStep } from "./every_step.js";
import { oldPhone } from "./old_phone.js";
import { startApp, startUnlocked } from "./realm.js";
import { readVectors } from "../records/vectors.js";
import { keepDraft } from "../../../static/store/drafts.js";
import { keepRecord } from "../../../static/store/journal.js";

/** @import { App } from "./realm.js" */

const VERRILL = { id: "u-verrill", name: "Dr S. Verrill", roles: [{ role: "surgeon", site: "saltpan" }] };
const DRAFT = "capture/P/R/white_to_white";
const NEW = "another passphrase";

/**
 * What the app has in one store.
 *
 * @param {App} app
 * @param {string} store
 * @returns {Promise<any[]>}
 */
const allIn = (app, store) => app.withDatabase((/** @type {any} */ database) => database.getAll(store));

/**
 * How many records there are; all of them open, all wait, and they make one chain up to its head.
 *
 * @param {App} app
 */
async function chainLength(app) {
  const rows = await app.openedRows(await allIn(app, "records"));
  rows.sort((/** @type {any} */ a, /** @type {any} */ b) => a.seq - b.seq);
  const before = [null, ...rows.map((/** @type {any} */ { id }) => id)].slice(0, rows.length);
  assert.deepEqual(rows.map((/** @type {any} */ { payload }) => payload.prev), before);
  const [head] = await allIn(app, "heads");
  const outbox = (await allIn(app, "outbox")).length;
  assert.deepEqual([head?.seq ?? 0, outbox], [rows.length, rows.length], "head and outbox");
  return rows.length;
}

/** A phone with one person registered. */
async function onePerson() {
  await enrolHere();
  const { payload } = await keepRecord(registration());
  return payload.person;
}

test("saving a reading: in the records, or still among what is typed", async () => {
  const steps = await killAtEachStep({
    prepare: onePerson,
    work: async (app, person) => {
      await app.keepDraft(DRAFT, { typed: "11.6" });
      await app.keepRecord(whiteToWhite(person), { draft: DRAFT });
      await app.dropDraft(DRAFT);
    },
    look: async (app) => `${await chainLength(app)}, draft ${(await app.readDraft(DRAFT))?.typed ?? "none"}`,
    states: ["1, draft none", "1, draft 11.6", "2, draft none"],
  });
  assert.ok(steps >= 20, `only ${steps} steps were seen`);
});

test("approving: the passphrase asked once more, one approval or none", async () => {
  const { person, body } = readVectors("kinds").payloads["plan.approval"];
  const asked = { kind: "plan.approval", person, eye: "R", site: "saltpan", body };
  const steps = await killAtEachStep({
    prepare: () => enrolHere(VERRILL),
    start: () => startUnlocked(VERRILL.id),
    work: async (app) => {
      assert.deepEqual(await app.checkPassphrase(PASSPHRASE), { ok: true, why: null });
      await app.keepRecord(asked);
    },
    look: chainLength,
    states: [0, 1],
  });
  assert.ok(steps >= 20, `only ${steps} steps were seen`);
});

test("unlocking: at worst one try is counted, and the phone opens", async () => {
  await killAtEachStep({
    prepare: onePerson,
    start: startApp,
    work: (app) => app.unlock(AMBLER.id, PASSPHRASE),
    look: async (app) => {
      const [{ wrongTries, lock }] = await allIn(app, "identities");
      assert.ok(wrongTries <= 1 && lock, `${wrongTries} wrong tries`);
      return app.heldKeys() ? "open" : "locked";
    },
    // An app that starts is locked; killed after its last step, it is so as well.
    restart: async () => {
      const app = await startApp();
      assert.deepEqual(await app.unlock(AMBLER.id, PASSPHRASE), { ok: true, why: null });
      assert.equal(await chainLength(app), 1);
      return app;
    },
    states: ["open"],
  });
});

test("locking by signing out: somebody works here or nobody, and everything is there", async () => {
  const seen = new Set();
  await killAtEachStep({
    prepare: onePerson,
    work: (app) => app.makeCurrent(null),
    restart: startApp,
    look: async (app) => {
      seen.add((await app.readFact("current")) ?? "nobody");
      await app.unlock(AMBLER.id, PASSPHRASE);
      assert.equal(await chainLength(app), 1);
      return "opens";
    },
    states: ["opens"],
  });
  assert.deepEqual([...seen].sort(), ["nobody", AMBLER.id]);
});

test("another passphrase: the old one opens the phone or the new one does, with the same key", async () => {
  const person = { userId: AMBLER.id, user: AMBLER, sites: [], site: "saltpan", label: "test" };
  const voucher = { userId: AMBLER.id, passphrase: PASSPHRASE };
  await killAtEachStep({
    prepare: async () => {
      const { kid } = await enrolHere();
      await keepRecord(registration());
      return kid;
    },
    work: (app) => app.admit(person, NEW, { recovery: null, voucher }),
    restart: startApp,
    look: async (app, kid) => {
      const opens = [];
      for (const words of [NEW, PASSPHRASE]) if ((await app.unlock(AMBLER.id, words)).ok) opens.push(words);
      const [row] = await allIn(app, "identities");
      assert.equal(row.kid, kid);
      assert.equal(await chainLength(app), 1);
      return opens.join(" and ");
    },
    states: [PASSPHRASE, NEW],
  });
});

test("sealing what an older version kept in the clear: all of it or nothing", async () => {
  const isClear = (/** @type {any} */ row) => "p" in row || "value" in row || "summary" in row;
  await killAtEachStep({
    prepare: oldPhone,
    start: startApp,
    work: (app) => app.unlock(AMBLER.id, PASSPHRASE),
    look: async (app) => {
      const stores = ["records", "drafts", "summaries", "seen"];
      const rows = (await Promise.all(stores.map((store) => allIn(app, store)))).flat();
      return `${rows.filter(isClear).length} clear of ${rows.length}`;
    },
    states: ["5 clear of 5", "0 clear of 5"],
  });
});

test("withdrawing a refused record: refused or withdrawn, with its reason, never gone", async () => {
  await killAtEachStep({
    prepare: async () => {
      await enrolHere();
      const { id } = await keepRecord(registration());
      const reason = { code: "role.not_held", message: "No such role." };
      await keepReceipt({ id, result: "refused", n: null, reason }, "1");
      return id;
    },
    work: (app, id) => app.withdrawRefused(id, "R. Ambler", "typed twice"),
    look: async (app) => {
      const [refused, withdrawn] = [await app.refused(), await app.withdrawn()];
      return [...refused, ...withdrawn].map(({ state, message }) => `${state}: ${message}`).join();
    },
    states: ["refused: No such role.", "withdrawn: No such role."],
  });
});

test("erasing a phone: everything is there or nothing is", async () => {
  await killAtEachStep({
    prepare: async () => {
      await onePerson();
      await keepDraft(DRAFT, { typed: "11.6" });
    },
    restart: startApp,
    work: (app) => app.eraseEverything(),
    look: async (app) => {
      const stores = ["records", "outbox", "heads", "identities", "keys", "drafts", "meta"];
      const rows = await Promise.all(stores.map((store) => allIn(app, store)));
      const full = rows.filter((found) => found.length > 0).length;
      return `${full} of ${stores.length}`;
    },
    states: ["7 of 7", "0 of 7"],
  });
});
