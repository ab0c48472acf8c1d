/** The phone at rest: what lies on the disk says nothing, and opens by the right passphrase alone. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { allOf, emptyDevice, enrolHere, keepReceipt, PASSPHRASE, registration, whiteToWhite } from "./device.js";
import { keepDraft, readDraft } from "../../../static/store/drafts.js";
import { changeEnrolment } from "../../../static/store/enrolments.js";
import { withDatabase } from "../../../static/store/idb.js";
import { currentIdentity } from "../../../static/store/identity.js";
import { entriesOfPerson, keepRecord, NotKept } from "../../../static/store/journal.js";
import { keepSealedFact } from "../../../static/store/meta.js";
import { counts, waiting, withdrawRefused } from "../../../static/store/outbox.js";
import { peopleAt } from "../../../static/store/people.js";
import { markSeen, seenOf } from "../../../static/store/seen.js";
import { keepSummary } from "../../../static/store/summaries.js";
import { unlock } from "../../../static/store/unlock.js";
import { heldKeys, lock } from "../../../static/store/vault.js";

const CANARY = "Zzqx Canary";
const PHONE = "9876501234";
const STORES = ["records", "outbox", "heads", "cursors", "identities", "keys", "drafts", "summaries", "seen", "meta"];

/** @type {string} */
let person;

beforeEach(async () => {
  await emptyDevice();
  await enrolHere();
  const asked = registration(CANARY);
  const { id, payload } = await keepRecord({ ...asked, body: { ...asked.body, phone: PHONE } });
  person = payload.person;
  await keepDraft("new-person", { name: CANARY, phone: PHONE });
  await keepSummary(person, { note: CANARY });
  await markSeen(`u-ambler/${person}.R`, { note: CANARY });
  await keepSealedFact("heard", { checks: [{ text: CANARY }] });
  const reason = { code: "role.not_held", message: `${CANARY} may not` };
  await keepReceipt({ id, result: "refused", n: null, reason }, "1");
  await withdrawRefused(id, "R. Ambler", `${CANARY}, typed twice`);
});

/** Every byte and every letter of the database, as text to search in. */
async function dump() {
  const rows = (await Promise.all(STORES.map(allOf))).flat();
  return rows.map(allWords).join("\n");
}

/** @param {any} value @returns {string} */
function allWords(value) {
  if (value instanceof Uint8Array) return Buffer.from(value).toString("latin1");
  if (value instanceof CryptoKey) return "a key in the clear";
  if (value === null || typeof value !== "object") return String(value);
  return Object.entries(value).flatMap(([name, part]) => [name, allWords(part)]).join("\n");
}

test("no name, no number and no key lies in the clear", async () => {
  const text = await dump();
  assert.ok(text.includes("person.registered"), "the dump reads the rows");
  for (const secret of [CANARY, PHONE, "Saltpan Row", "a key in the clear", Buffer.from(CANARY).toString("base64").slice(0, 12)]) {
    assert.equal(text.includes(secret), false, secret);
  }
});

test("a locked phone reads nothing, signs nothing, and still counts its outbox", async () => {
  lock();
  assert.equal(await currentIdentity(), null);
  await assert.rejects(entriesOfPerson(person).then(() => peopleAt("saltpan")), { name: "Locked" });
  await assert.rejects(readDraft("new-person"), { name: "Locked" });
  await assert.rejects(keepRecord(whiteToWhite(person)), NotKept);
  assert.deepEqual(await counts(), { waiting: 0, refused: 0 });
});

test("unlocked again, everything is as it was", async () => {
  lock();
  assert.deepEqual(await unlock("u-ambler", PASSPHRASE), { ok: true, why: null });
  assert.deepEqual(await readDraft("new-person"), { name: CANARY, phone: PHONE });
  assert.deepEqual(await seenOf(`u-ambler/${person}.R`), { note: CANARY });
  const { payload } = await keepRecord(registration("Oda Brandreth"));
  assert.equal(payload.seq, 2);
  assert.equal((await waiting()).length, 1);
});

test("an accent of the passphrase may be typed either way", async () => {
  const user = { id: "u-marsh", name: "Dr I. Marsh", roles: [{ role: "surgeon", site: "saltpan" }] };
  const { kid } = await enrolHere(user, "Zo\u00eb goes home");
  for (const [typed, opens] of /** @type {[string, boolean][]} */ ([
    ["Zoe\u0308 goes home", true],
    ["Zo\u00eb goes home", true],
    ["Zoe goes home", false],
  ])) {
    lock();
    assert.equal((await unlock(user.id, typed)).ok, opens, typed);
    assert.equal(heldKeys()?.kid, opens ? kid : undefined);
  }
});

test("the right passphrase of one person is the wrong one of another", async () => {
  await enrolHere({ id: "u-verrill", name: "Dr S. Verrill", roles: [{ role: "surgeon", site: "saltpan" }] });
  const [ambler, verrill] = await allOf("identities");
  // Somebody with the disk in their hands gives one person the other's lock.
  await changeEnrolment("u-verrill", () => ({ lock: ambler.lock }));
  lock();
  assert.equal((await unlock("u-verrill", PASSPHRASE)).ok, false);
  await changeEnrolment("u-verrill", () => ({ lock: verrill.lock }));
});

for (const [what, spoil] of /** @type {[string, (box: any) => any][]} */ ([
  ["changed", (box) => ({ ...box, bytes: box.bytes.map((/** @type {number} */ byte, /** @type {number} */ index) => (index ? byte : byte ^ 1)) })],
  ["cut short", (box) => ({ ...box, bytes: box.bytes.slice(0, -1) })],
  ["under another nonce", (box) => ({ ...box, iv: box.iv.map((/** @type {number} */ byte) => byte ^ 1) })],
])) {
  test(`a box ${what} does not open`, async () => {
    const { payload } = await keepRecord(registration("Oda Brandreth"));
    const row = (await allOf("records")).find((one) => one.person === payload.person);
    await withDatabase((database) => database.put("records", { ...row, box: spoil(row.box) }));
    await assert.rejects(entriesOfPerson(payload.person), { name: "BoxBroken" });
  });
}

test("a reading moved to another person does not open", async () => {
  const { id, payload } = await keepRecord(registration("Oda Brandreth"));
  await keepRecord(whiteToWhite(payload.person));
  const row = (await allOf("records")).find((one) => one.kind === "reading.white_to_white");
  await withDatabase((database) => database.put("records", { ...row, person }));
  await assert.rejects(entriesOfPerson(person), { name: "BoxBroken" });
  const other = (await allOf("records")).find((one) => one.id === id);
  await withDatabase((database) => database.put("records", { ...row, box: other.box }));
  await assert.rejects(entriesOfPerson(payload.person), { name: "BoxBroken" });
});

test("two key presses close together are kept in their order", async () => {
  const presses = Array.from({ length: 20 }, (_, index) => "x".repeat((index * 7) % 5) + index);
  await Promise.all(presses.map((text) => keepDraft("capture/ID/R/reading.refraction", { text })));
  assert.deepEqual(await readDraft("capture/ID/R/reading.refraction"), { text: presses.at(-1) });
});

test("an older text whose sealing takes longer is not written over a newer one", async (t) => {
  const encrypt = crypto.subtle.encrypt.bind(crypto.subtle);
  /** @type {() => void} */
  let goOn = () => undefined;
  const held = new Promise((resolve) => (goOn = () => resolve(undefined)));
  t.mock.method(crypto.subtle, "encrypt", (/** @type {Parameters<typeof encrypt>} */ ...asked) =>
    held.then(() => encrypt(...asked)), { times: 1 });
  const older = keepDraft("capture/ID/R/reading.refraction", { text: "1" });
  const newer = keepDraft("capture/ID/R/reading.refraction", { text: "12" });
  // Time enough for the newer one to be written, if nothing kept it waiting.
  for (let turn = 0; turn < 200; turn += 1) await new Promise(setImmediate);
  goOn();
  await Promise.all([older, newer]);
  assert.deepEqual(await readDraft("capture/ID/R/reading.refraction"), { text: "12" });
});

test("a draft begun before the lock arrives on the disk, sealed", async () => {
  const keeping = keepDraft("capture/ID/R/reading.refraction", { text: "1" });
  lock();
  await keeping;
  assert.equal(heldKeys(), null);
  await unlock("u-ambler", PASSPHRASE);
  assert.deepEqual(await readDraft("capture/ID/R/reading.refraction"), { text: "1" });
});
