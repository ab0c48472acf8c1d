/** A new key while a record is being kept: nothing is signed with a key after it was given up. */
import assert from "node:assert/strict";
import { afterEach, beforeEach, test } from "node:test";
import "./few_rounds.js";
import { AMBLER, emptyDevice, enrolHere, PASSPHRASE, registration, whiteToWhite } from "./device.js";
import { currentIdentity } from "../../../static/store/identity.js";
import { keepRecord } from "../../../static/store/journal.js";
import { handOf } from "../../../static/store/other_hand.js";
import { givenUpKey, nextKey, takeNextKey } from "../../../static/store/renewal.js";

const SECOND = { id: "u-marrow", name: "S. Marrow", roles: [{ role: "optometrist", site: "saltpan" }] };
const HERS = "another long passphrase";

/** Locks as a browser has them, which tell what was asked for. */
class Locks {
  /** @type {string[]} */
  asked = [];
  /** @type {Map<string, Promise<unknown>>} */
  #last = new Map();

  /** @param {string} name @param {() => Promise<unknown>} work */
  request(name, work) {
    this.asked.push(name);
    const turn = (this.#last.get(name) ?? Promise.resolve()).then(work);
    this.#last.set(name, turn.catch(() => undefined));
    return turn;
  }
}

/** @type {Locks} */
let locks;
/** @type {string} */
let person;
/** @type {string} */
let old;
/** @type {string} */
let next;
const LONGEST_MS = 20_000;
const sign = crypto.subtle.sign;

beforeEach(async () => {
  await emptyDevice();
  old = (await enrolHere()).kid;
  person = (await keepRecord(registration())).payload.person;
  next = (await nextKey(AMBLER.id, PASSPHRASE)).kid;
  locks = new Locks();
  Object.defineProperty(navigator, "locks", { value: locks, configurable: true });
});
afterEach(() => {
  crypto.subtle.sign = sign;
  Reflect.deleteProperty(navigator, "locks");
});

/** @param {() => boolean} isSo */
async function until(isSo) {
  for (const last = Date.now() + LONGEST_MS; !isSo(); ) {
    assert.ok(Date.now() < last, "it never came so far");
    await new Promise((done) => setTimeout(done, 1));
  }
}

/** Something that waits until it is let go. */
function gate() {
  let open = () => {};
  const closed = new Promise((done) => {
    open = () => done(undefined);
  });
  return { closed, open };
}

test("a record that is being signed gets its place before its key is given up", async () => {
  const { closed, open } = gate();
  const key = (await currentIdentity())?.privateKey;
  let isSigning = false;
  crypto.subtle.sign = async (/** @type {any} */ how, /** @type {CryptoKey} */ by, /** @type {any} */ what) => {
    if (by === key) {
      isSigning = true;
      await closed;
    }
    return sign.call(crypto.subtle, how, by, what);
  };
  /** @type {string[]} */
  const done = [];
  const kept = keepRecord(whiteToWhite(person)).then(({ payload }) => done.push(payload.key));
  await until(() => isSigning);
  const taken = takeNextKey(AMBLER.id, PASSPHRASE).then(() => done.push("taken"));
  await Promise.race([taken, until(() => locks.asked.length === 2)]);
  open();
  await Promise.all([kept, taken]);
  assert.deepEqual(done, [old, "taken"]);
  assert.deepEqual(await givenUpKey(AMBLER.id), { kid: old, signed: 2 });
});

test("a record that waited while the key was given up is signed with the new one", async () => {
  const { closed, open } = gate();
  const before = locks.request(`lampside-chain-${old}`, () => closed);
  const taken = takeNextKey(AMBLER.id, PASSPHRASE);
  await until(() => locks.asked.length === 2);
  const kept = keepRecord(whiteToWhite(person));
  await until(() => locks.asked.length === 3);
  open();
  const [{ payload }] = await Promise.all([kept, taken, before]);
  assert.deepEqual([payload.key, payload.seq, payload.prev], [next, 1, null]);
  assert.deepEqual(await givenUpKey(AMBLER.id), { kid: old, signed: 1 });
});

test("a second person whose key was given up while they waited types their passphrase again", async () => {
  const { id } = SECOND;
  const { kid } = await enrolHere(SECOND, HERS);
  await enrolHere(AMBLER);
  const renewed = await nextKey(id, HERS);
  const by = await handOf(id, HERS);
  const { closed, open } = gate();
  const before = locks.request(`lampside-chain-${kid}`, () => closed);
  const taken = takeNextKey(id, HERS);
  await until(() => locks.asked.length === 2);
  const kept = keepRecord(whiteToWhite(person), { by });
  const refused = assert.rejects(kept, { name: "NotKept", message: /passphrase again/ });
  await until(() => locks.asked.length === 3);
  open();
  await Promise.all([refused, taken, before]);
  assert.deepEqual(await givenUpKey(id), { kid, signed: 0 });
  const { payload } = await keepRecord(whiteToWhite(person), { by: await handOf(id, HERS) });
  assert.deepEqual([payload.author, payload.key, payload.seq], [id, renewed.kid, 1]);
});
