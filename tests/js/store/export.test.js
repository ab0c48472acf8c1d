/** Giving a phone up: the outbox as a file made on a locked phone, and everything deleted. */
import assert from "node:assert/strict";
import { afterEach, beforeEach, test } from "node:test";
import { allOf, emptyDevice, enrolHere, keepReceipt, registration, whiteToWhite } from "./device.js";
import { eraseEverything } from "../../../static/store/erase.js";
import { outboxFile } from "../../../static/store/export.js";
import { withDatabase } from "../../../static/store/idb.js";
import { keepRecord } from "../../../static/store/journal.js";
import { wrappedForBase } from "../../../static/store/recovery.js";
import { newDataKey } from "../../../static/store/person_lock.js";
import { heldKeys, lock } from "../../../static/store/vault.js";
import { peopleOfThisDevice } from "../../../static/store/identity.js";

beforeEach(async () => {
  await emptyDevice();
  await enrolHere();
});

afterEach(() => void Reflect.deleteProperty(globalThis, "localStorage"));

/**
 * Stand in for what a browser keeps beside the store: names are its own enumerable properties.
 *
 * @param {Record<string, string>} kept
 */
function keepBeside(kept) {
  const removeItem = { value: (/** @type {string} */ name) => void delete kept[name] };
  Object.defineProperty(globalThis, "localStorage", {
    configurable: true,
    value: Object.defineProperty(kept, "removeItem", removeItem),
  });
}

/** Wrap some data key to a recovery key made here, as an enrolment would have. */
async function addRecoveryKey() {
  const how = { name: "RSA-OAEP", modulusLength: 2048, publicExponent: new Uint8Array([1, 0, 1]), hash: "SHA-256" };
  const { publicKey } = await crypto.subtle.generateKey(how, true, ["wrapKey", "unwrapKey"]);
  const spki = Buffer.from(await crypto.subtle.exportKey("spki", publicKey)).toString("base64url");
  const recovery = await wrappedForBase(await newDataKey(), spki);
  await withDatabase((database) => database.put("meta", { name: "vault", value: { made: "x", recovery } }));
}

test("without a recovery key of the base there is no file that nobody could open", async () => {
  await keepRecord(registration());
  assert.equal(await outboxFile(), null);
});

test("a locked phone gives what the base has not got, in chain order, and no word of it in the clear", async () => {
  await addRecoveryKey();
  const { id, payload } = await keepRecord(registration("Zzqx Canary"));
  const reading = await keepRecord(whiteToWhite(payload.person));
  const sent = await keepRecord(registration("Oda Brandreth"));
  await keepReceipt({ id: sent.id, result: "stored", n: 1, reason: null }, "1");
  lock();
  const file = await outboxFile();
  assert.deepEqual(file?.records.map((record) => [record.id, record.seq]), [[id, 1], [reading.id, 2]]);
  assert.equal(JSON.stringify(file).includes("Canary"), false);
  assert.equal(Buffer.from(file?.records[0]?.box ?? "", "base64url").includes("Canary"), false);
});

test("a refused record goes along, a withdrawn one does not", async () => {
  const { withdrawRefused } = await import("../../../static/store/outbox.js");
  await addRecoveryKey();
  const reason = { code: "role.not_held", message: "x" };
  const [one, two] = [await keepRecord(registration("One Person")), await keepRecord(registration("Two Persons"))];
  for (const { id } of [one, two]) await keepReceipt({ id, result: "refused", n: null, reason }, "1");
  await withdrawRefused(two.id, "R. Ambler", "typed twice");
  assert.deepEqual((await outboxFile())?.records.map(({ id }) => id), [one.id]);
});

test("erased, nothing is left and nobody is enrolled", async () => {
  await keepRecord(registration());
  await eraseEverything();
  const stores = ["records", "outbox", "heads", "cursors", "identities", "keys", "drafts", "summaries", "seen", "meta"];
  assert.deepEqual((await Promise.all(stores.map(allOf))).flat(), []);
  assert.equal(heldKeys(), null);
  assert.deepEqual(await peopleOfThisDevice(), []);
});

test("erased, nothing that Lampside noted beside its store is left, and nobody else's is touched", async () => {
  const kept = { "lampside.theme": "dusk", "lampside.devices.white-to-white": '["Caliper of R. Ambler"]', other: "x" };
  keepBeside(kept);
  await eraseEverything();
  assert.deepEqual(Object.keys(kept), ["other"]);
});
