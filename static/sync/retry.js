/** When to try again: at once after something changed, ever more rarely while nothing helps. */

const FIRST_MS = 5_000;
const LONGEST_MS = 5 * 60_000;
const SOON_MS = 200;
/** An open app looks every 80 to 160 s, as after five failures. */
const LEISURE_FAILURES = 5;

/**
 * Return a timer for `attempt`; a failed attempt doubles the wait, and a random part of it keeps
 * many phones from coming back in the same second.
 *
 * @param {() => void} attempt
 * @param {() => number} [random] 0 to 1
 */
export function makeRetry(attempt, random = Math.random) {
  let failures = 0;
  let isPlanned = false;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let timer;

  /** @param {number} delayMs */
  function schedule(delayMs) {
    clearTimeout(timer);
    isPlanned = true;
    timer = setTimeout(() => {
      isPlanned = false;
      attempt();
    }, delayMs);
  }

  return {
    /** Try in a moment; several wishes in that moment are one. */
    soon() {
      schedule(SOON_MS);
    },
    /** Try again after a wait that grows with each failure. */
    later() {
      schedule(waitMs(failures, random()));
      failures += 1;
    },
    /** It worked: look again at leisure, unless something is planned already. */
    worked() {
      failures = 0;
      if (!isPlanned) schedule(waitMs(LEISURE_FAILURES, random()));
    },
    /** Nothing helps until a person acts. */
    stop() {
      clearTimeout(timer);
      isPlanned = false;
    },
  };
}

/**
 * Return how long to wait after so many failures [ms]: between half the doubled wait and all of it.
 *
 * @param {number} failures
 * @param {number} chance 0 to 1
 */
export function waitMs(failures, chance) {
  const wholeMs = Math.min(LONGEST_MS, FIRST_MS * 2 ** Math.min(failures, 10));
  return Math.round(wholeMs * (0.5 + chance / 2));
}
