/** A page counts as read when its end was on the screen, and nothing is watched that left it. */
import assert from "node:assert/strict";
import { afterEach, beforeEach, test } from "node:test";
import { watchOfEnd } from "../../../static/steps/read_to_end.js";

/** @type {any[]} */
let observers = [];

class Observer {
  /** @param {(entries: object[]) => void} told */
  constructor(told) {
    this.told = told;
    /** @type {unknown} */
    this.element = null;
    observers.push(this);
  }
  /** @param {unknown} element */
  observe(element) {
    this.element = element;
  }
  disconnect() {
    this.element = null;
  }
}

/** @type {any} */
const browser = globalThis;
/** @type {any} */
const END = { name: "the last lines" };
/** @param {boolean} isIntersecting */
function seen(isIntersecting) {
  for (const { element, told } of observers) if (element) told([{ isIntersecting }]);
}

beforeEach(() => {
  observers = [];
  browser.IntersectionObserver = Observer;
});
afterEach(() => {
  delete browser.IntersectionObserver;
});

test("the end on the screen is the page read, and drawn again once", () => {
  const model = { isRead: false };
  let drawn = 0;
  watchOfEnd(model, () => drawn++)(END);
  seen(false);
  assert.deepEqual([model.isRead, drawn], [false, 0]);
  seen(true);
  seen(true);
  assert.deepEqual([model.isRead, drawn], [true, 1]);
});

test("each drawing of a page gets the same watch", () => {
  const model = { isRead: false };
  assert.equal(watchOfEnd(model, () => {}), watchOfEnd(model, () => {}));
  assert.notEqual(watchOfEnd(model, () => {}), watchOfEnd({ isRead: false }, () => {}));
});

test("nothing is watched once the page is gone", () => {
  const watch = watchOfEnd({ isRead: false }, () => {});
  watch(END);
  watch(undefined);
  assert.deepEqual(observers.map(({ element }) => element), [null]);
});

test("lines that were made anew are watched instead of the old ones", () => {
  const watch = watchOfEnd({ isRead: false }, () => {});
  watch(END);
  const newer = /** @type {any} */ ({ name: "newer" });
  watch(newer);
  assert.deepEqual(observers.map(({ element }) => element), [null, newer]);
});

test("records that came since ask for it again", () => {
  const model = { isRead: false };
  watchOfEnd(model, () => {})(END);
  seen(true);
  model.isRead = false;
  seen(true);
  assert.equal(model.isRead, true);
});
