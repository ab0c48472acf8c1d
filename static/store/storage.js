/** Whether this browser can be trusted to keep what is typed, and what it said when asked to. */
import { keepFact, readFact } from "./meta.js";

/**
 * @typedef {{ ok: boolean, why: string | null }} Allowed
 * @typedef {{ kept: "yes" | "no" | "unknown", usedBytes: number | null, quotaBytes: number | null }} StorageAnswer
 */

const USE_HOME_SCREEN =
  "This browser empties its storage after seven days without use, so readings taken here could " +
  "be lost. Open the Share menu, choose Add to Home Screen, and open Lampside from there.";
const USE_SECURE =
  "This address is not secure (https), so the phone cannot sign readings. Open the https address.";

/**
 * Say whether readings may be taken in this browser at all.
 *
 * An iPhone or iPad deletes a page's storage after seven days without use unless the page was
 * put on the home screen (WebKit's tracking prevention policy).
 *
 * @returns {Allowed}
 */
export function captureAllowed() {
  if (!globalThis.crypto?.subtle) return { ok: false, why: USE_SECURE };
  if (isAppleHandheld() && !isStandalone()) return { ok: false, why: USE_HOME_SCREEN };
  return { ok: true, why: null };
}

/** Ask the browser to keep the storage, and keep its answer. */
export async function askToKeepStorage() {
  const storage = globalThis.navigator?.storage;
  if (!storage?.persist) return keepFact("persisted", "unknown");
  const isKept = (await storage.persisted()) || (await storage.persist());
  return keepFact("persisted", isKept ? "yes" : "no");
}

/**
 * Return the browser's last answer, and how full the storage is [bytes].
 *
 * @returns {Promise<StorageAnswer>}
 */
export async function storageAnswer() {
  const kept = (await readFact("persisted")) ?? "unknown";
  const estimate = await globalThis.navigator?.storage?.estimate?.();
  return { kept, usedBytes: estimate?.usage ?? null, quotaBytes: estimate?.quota ?? null };
}

function isAppleHandheld() {
  const agent = globalThis.navigator?.userAgent ?? "";
  // An iPad asks for desktop pages and names itself a Mac; no Mac has a touch screen.
  const isTablet = /Macintosh/.test(agent) && navigator.maxTouchPoints > 1;
  return /iPhone|iPad|iPod/.test(agent) || isTablet;
}

function isStandalone() {
  return globalThis.matchMedia?.("(display-mode: standalone)").matches ?? false;
}
