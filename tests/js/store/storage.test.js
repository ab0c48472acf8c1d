/** Where readings may be taken: not where the browser would delete them after a week. */
import assert from "node:assert/strict";
import { afterEach, test } from "node:test";
import { allOf, emptyDevice, enrolHere, registration } from "./device.js";
import { keepRecord, NotKept } from "../../../static/store/journal.js";
import { captureAllowed } from "../../../static/store/storage.js";

const IPHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605.1.15";
const IPAD = "Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15";
const ANDROID = "Mozilla/5.0 (Linux; Android 14) AppleWebKit/537.36 Chrome/140.0.0.0 Mobile";
const before = Object.getOwnPropertyDescriptor(globalThis, "navigator");

afterEach(() => {
  if (before) Object.defineProperty(globalThis, "navigator", before);
  else Reflect.deleteProperty(globalThis, "navigator");
  Reflect.deleteProperty(globalThis, "matchMedia");
});

/**
 * @param {string} userAgent
 * @param {number} maxTouchPoints
 * @param {boolean} isInstalled
 */
function allowedOn(userAgent, maxTouchPoints, isInstalled) {
  const value = { userAgent, maxTouchPoints };
  Object.defineProperty(globalThis, "navigator", { value, configurable: true });
  Object.assign(globalThis, { matchMedia: () => ({ matches: isInstalled }) });
  return captureAllowed();
}

test("an iPhone's or iPad's browser tab is refused, with what to do", () => {
  for (const userAgent of [IPHONE, IPAD]) {
    const { ok, why } = allowedOn(userAgent, 5, false);
    assert.equal(ok, false);
    assert.match(why ?? "", /Add to Home Screen/);
  }
});

test("there nothing is kept either, and the reason is said", async () => {
  await emptyDevice();
  await enrolHere();
  allowedOn(IPHONE, 5, false);
  await assert.rejects(keepRecord(registration()), (/** @type {Error} */ error) => {
    return error instanceof NotKept && /Add to Home Screen/.test(error.message);
  });
  assert.deepEqual(await allOf("records"), []);
});

test("the same phone is allowed from its home screen", () => {
  assert.deepEqual(allowedOn(IPHONE, 5, true), { ok: true, why: null });
});

test("an Android tab and a Mac without touch are allowed", () => {
  assert.equal(allowedOn(ANDROID, 5, false).ok, true);
  assert.equal(allowedOn(IPAD, 0, false).ok, true);
});
