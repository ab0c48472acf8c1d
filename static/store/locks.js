/**
 * One holder at a time for a named thing, across tabs where the browser has Web Locks.
 *
 * Without them the queue holds inside this tab only; what it guards (a key's chain) is checked
 * again inside the database transaction, so the lock is courtesy and the transaction is the law.
 */

/** @type {Map<string, Promise<unknown>>} */
const queues = new Map();

/**
 * Run `work` while holding the lock `name`.
 *
 * @template T
 * @param {string} name
 * @param {() => Promise<T>} work
 * @returns {Promise<T>}
 */
export function withLock(name, work) {
  if (globalThis.navigator?.locks) return navigator.locks.request(`lampside-${name}`, work);
  const turn = (queues.get(name) ?? Promise.resolve()).then(work);
  const settled = turn
    .catch(() => undefined)
    .then(() => {
      if (queues.get(name) === settled) queues.delete(name);
    });
  queues.set(name, settled);
  return turn;
}

/**
 * Run `work` if nobody holds the lock; return null, at once, if somebody does.
 *
 * @template T
 * @param {string} name
 * @param {() => Promise<T>} work
 * @returns {Promise<T | null>}
 */
export async function withLockIfFree(name, work) {
  if (globalThis.navigator?.locks) {
    const options = { ifAvailable: true };
    return navigator.locks.request(`lampside-${name}`, options, (lock) => (lock ? work() : null));
  }
  return queues.has(name) ? null : withLock(name, work);
}
