/** Single facts about this device: who works here now, when the base was last heard, and so on. */
import { withDatabase } from "./idb.js";
import { orBroken } from "./rows.js";
import { opened, sealed } from "./vault.js";

/**
 * Return a fact, or null.
 *
 * @param {string} name
 * @returns {Promise<any>}
 */
export async function readFact(name) {
  const row = await withDatabase((database) => database.get("meta", name));
  return row?.value ?? null;
}

/**
 * Keep a fact.
 *
 * @param {string} name
 * @param {unknown} value plain data
 */
export async function keepFact(name, value) {
  await withDatabase((database) => database.put("meta", { name, value }));
}

/**
 * Return a fact that only an unlocked phone tells, or null, also where it does not open: all of them
 * are heard again.
 *
 * @param {string} name
 * @returns {Promise<any>}
 */
export async function readSealedFact(name) {
  const row = await withDatabase((database) => database.get("meta", name));
  return row?.box ? orBroken(() => opened(`meta/${name}`, row.box)) : null;
}

/**
 * Keep a fact that only an unlocked phone tells.
 *
 * @param {string} name
 * @param {unknown} value plain data
 */
export async function keepSealedFact(name, value) {
  const box = await sealed(`meta/${name}`, value);
  await withDatabase((database) => database.put("meta", { name, box }));
}
