/**
 * The app killed at each step of an operation in turn, started anew, and looked at: as before or as
 * after, and the next run gets through.
 *
 * A step is a call out of the app: to the database, the crypto engine or the network. From the step
 * at which it is killed on, nothing of the old app reaches any of them; whatever transaction was
 * open is gone, as in a browser.
 *
 * @import { App } from "./realm.js"
 */
import assert from "node:assert/strict";
import { emptyDevice } from "./device.js";
import { closeDatabase } from "../../../static/store/idb.js";
import { endApp, startUnlocked } from "./realm.js";

const OF_STORE = ["get", "getAll", "put", "add", "delete", "clear", "count", "index"];
const OF_CRYPTO = [
  ...["sign", "verify", "digest", "encrypt", "decrypt", "deriveKey", "deriveBits"],
  ...["wrapKey", "unwrapKey", "generateKey", "importKey", "exportKey"],
];
const subtle = Object.getPrototypeOf(crypto.subtle);
const STEPS = /** @type {[any, string][]} */ ([
  [globalThis, "fetch"],
  [IDBFactory.prototype, "open"],
  [IDBDatabase.prototype, "transaction"],
  ...OF_STORE.map((name) => [IDBObjectStore.prototype, name]),
  ...OF_CRYPTO.map((name) => [subtle, name]),
]);
const MOST = 2_000;

class Killed extends Error {
  name = "Killed";
}

/**
 * Run `work` and kill it at its step number `at`; return how many steps it took, and whether it came
 * to its end, so that a person was told that it is done.
 *
 * @param {number} at
 * @param {() => Promise<unknown>} work
 * @returns {Promise<{ steps: number, isDone: boolean }>}
 */
export async function killedAt(at, work) {
  let steps = 0;
  const originals = STEPS.map(([owner, name]) => owner[name]);
  STEPS.forEach(([owner, name], index) => {
    owner[name] = function step(/** @type {unknown[]} */ ...words) {
      steps += 1;
      if (steps >= at) throw new Killed();
      return originals[index].apply(this, words);
    };
  });
  try {
    await work();
  } catch (error) {
    assert.ok(steps >= at, `stopped by something else: ${/** @type {Error} */ (error).stack}`);
  } finally {
    STEPS.forEach(([owner, name], index) => {
      owner[name] = originals[index];
    });
  }
  return { steps, isDone: steps < at };
}

/**
 * Kill `work` at each of its steps.
 *
 * @template S
 * @param {object} operation
 * @param {() => Promise<S>} operation.prepare sets the scene on an empty phone
 * @param {(app: App, scene: S) => Promise<unknown>} operation.work
 * @param {(app: App, scene: S) => Promise<unknown>} operation.look the state, as one of `states`
 * @param {unknown[]} operation.states what may be found: the first before, the last after
 * @param {(scene: S) => Promise<App>} [operation.start] the app, ready for `work`
 * @param {(scene: S) => Promise<App>} [operation.restart] the app after the kill, ready to look
 * @returns {Promise<number>} how many steps the operation has
 */
export async function killAtEachStep({ prepare, work, look, states, start, restart }) {
  const begin = start ?? (() => startUnlocked());
  const again = restart ?? begin;
  const after = states.length - 1;
  for (let at = 1; ; at += 1) {
    assert.ok(at < MOST, "it never got through");
    await emptyDevice();
    const scene = await prepare();
    await closeDatabase();
    const app = await begin(scene);
    const { steps, isDone } = await killedAt(at, () => work(app, scene));
    await endApp(app);
    const next = await again(scene);
    const found = indexIn(states, await look(next, scene), `killed at step ${at}`);
    if (isDone) assert.equal(found, after, "it was called done and is not");
    if (found < after) {
      await work(next, scene);
      assert.equal(indexIn(states, await look(next, scene), `run again after step ${at}`), after);
    }
    await endApp(next);
    if (isDone) return steps;
  }
}

/**
 * @param {unknown[]} states
 * @param {unknown} found
 * @param {string} when
 */
function indexIn(states, found, when) {
  const index = states.indexOf(found);
  assert.notEqual(index, -1, `${when}: ${found}`);
  return index;
}
