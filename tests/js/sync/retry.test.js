/** When the app tries again: waits that double, are bounded, and differ from phone to phone. */
import assert from "node:assert/strict";
import { mock, test } from "node:test";
import { makeRetry, waitMs } from "../../../static/sync/retry.js";

test("the wait doubles with each failure up to five minutes", () => {
  const longest = [0, 1, 2, 3, 4, 5, 6, 60].map((failures) => waitMs(failures, 1));
  assert.deepEqual(longest, [5_000, 10_000, 20_000, 40_000, 80_000, 160_000, 300_000, 300_000]);
});

test("chance takes away up to half of the wait", () => {
  assert.deepEqual([waitMs(2, 0), waitMs(2, 0.5)], [10_000, 15_000]);
});

test("wishes that come together are one attempt", () => {
  mock.timers.enable({ apis: ["setTimeout"] });
  let attempts = 0;
  const retry = makeRetry(() => {
    attempts += 1;
  });
  retry.soon();
  retry.soon();
  mock.timers.tick(1_000);
  mock.timers.reset();
  assert.equal(attempts, 1);
});

test("a wish made during an exchange survives the exchange's success", () => {
  mock.timers.enable({ apis: ["setTimeout"] });
  let attempts = 0;
  const retry = makeRetry(() => {
    attempts += 1;
  });
  retry.soon();
  retry.worked();
  mock.timers.tick(1_000);
  mock.timers.reset();
  assert.equal(attempts, 1);
});
