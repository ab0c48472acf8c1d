/** Stopping work at its k-th step, as a killed app would, for every k. */
import assert from "node:assert/strict";
import { closeDatabase, withDatabase } from "../../../static/store/idb.js";

/** Every call that the store makes outside itself: to the database or to the crypto engine. */
const STEPS = /** @type {[any, string][]} */ ([
  [IDBFactory.prototype, "open"],
  [IDBDatabase.prototype, "transaction"],
  ...["get", "getAll", "put", "add", "delete"].map((name) => [IDBObjectStore.prototype, name]),
  ...["sign", "digest", "encrypt", "decrypt", "deriveKey", "wrapKey", "unwrapKey", "generateKey"].map(
    (name) => [Object.getPrototypeOf(crypto.subtle), name],
  ),
]);

class Crash extends Error {
  name = "Crash";
}

/**
 * Run `work` and stop it at its step number `crashAt`; return how many steps it took.
 *
 * @param {() => Promise<unknown>} work
 * @param {number} crashAt
 */
export async function crashing(work, crashAt) {
  // The simulated database makes its stores by the calls that are stopped here, and would wait for
  // ever; a browser ends an upgrade whole or not at all.
  await withDatabase(async () => undefined);
  let steps = 0;
  const originals = STEPS.map(([owner, name]) => owner[name]);
  STEPS.forEach(([owner, name], index) => {
    owner[name] = function step(/** @type {unknown[]} */ ...words) {
      steps += 1;
      if (steps === crashAt) throw new Crash();
      return originals[index].apply(this, words);
    };
  });
  try {
    await work();
  } catch (error) {
    assert.ok(steps >= crashAt, `stopped by something else: ${error}`);
  } finally {
    STEPS.forEach(([owner, name], index) => {
      owner[name] = originals[index];
    });
  }
  await closeDatabase();
  return steps;
}
