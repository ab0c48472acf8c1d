/**
 * Locking the phone when nobody uses it: after some minutes without a touch, and a minute after the
 * page went out of sight. Locking closes what was open; drafts were sealed as they were typed.
 */
import { keepFact, readFact } from "./store/meta.js";
import { heldKeys, lock } from "./store/vault.js";

/** Minutes without a touch that a person may choose from. */
export const IDLE_CHOICES_MIN = [2, 5, 10];
const IDLE_MIN = 5;
const HIDDEN_MS = 60_000;
const LOOK_EVERY_MS = 5_000;
const TOUCHES = ["pointerdown", "keydown", "input", "wheel"];

let lastTouchMs = Date.now();
let hiddenSinceMs = Infinity;
let idleMin = IDLE_MIN;

/** Watch for touches and for the page going out of sight, from now on. */
export function lockWhenIdle() {
  for (const touch of TOUCHES) addEventListener(touch, noteTouch, { capture: true, passive: true });
  document.addEventListener("visibilitychange", noteSight);
  addEventListener("pagehide", leave);
  setInterval(lockIfDue, LOOK_EVERY_MS);
  void idleMinutes().then((minutes) => {
    idleMin = minutes;
  });
}

/** Close what is open and lock. */
export function lockNow() {
  if (!heldKeys()) return;
  // Whoever opens the phone next starts at the list, not in somebody's case.
  history.replaceState(null, "", "#/sign-in");
  lock();
}

/**
 * Return after how many minutes without a touch this phone locks.
 *
 * @returns {Promise<number>}
 */
export async function idleMinutes() {
  const kept = await readFact("idle_min");
  return IDLE_CHOICES_MIN.includes(kept) ? kept : IDLE_MIN;
}

/** @param {number} minutes one of the choices */
export async function useIdleMinutes(minutes) {
  idleMin = minutes;
  await keepFact("idle_min", minutes);
}

function noteTouch() {
  // A touch after the time was up, before the next look, is not a touch of who worked here.
  lockIfDue();
  lastTouchMs = Date.now();
}

function noteSight() {
  lockIfDue();
  hiddenSinceMs = document.visibilityState === "hidden" ? Date.now() : Infinity;
  if (hiddenSinceMs < Infinity) setTimeout(lockIfDue, HIDDEN_MS);
}

function lockIfDue() {
  const nowMs = Date.now();
  if (!heldKeys()) lastTouchMs = nowMs;
  const isIdle = nowMs - lastTouchMs >= idleMin * 60_000;
  if (isIdle || nowMs - hiddenSinceMs >= HIDDEN_MS) lockNow();
}

/** A page kept for the way back must show nothing. @param {PageTransitionEvent} event */
function leave({ persisted }) {
  if (persisted) lock();
}
