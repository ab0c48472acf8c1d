/** The app as it starts anew: modules that remember nothing, over the database that stayed on the disk. */
import { register } from "node:module";
import { PASSPHRASE } from "./device.js";

register("./realm_hooks.mjs", import.meta.url);

const STATIC = new URL("../../../static/", import.meta.url);
const STORE = ["admit", "aside", "drafts", "enrolments", "erase", "idb", "identity", "journal", "keys"];
const MORE = ["meta", "outbox", "pages", "people", "put_off", "put_off_marks", "renewal", "rows", "sealing", "unlock", "vault"];
const MODULES = [
  ...[...STORE, ...MORE].map((name) => `store/${name}.js`),
  ...["client", "enrol", "pull", "push", "renew"].map((name) => `sync/${name}.js`),
];

let started = 0;
/** Two realms by turns: whoever looks after a kill shares no memory with who was killed. @type {App[]} */
const realms = [];

/** @typedef {Record<string, any>} App what the app's modules export, by name */

/**
 * Start the app in the realm that was not used last, locked and without a connection.
 *
 * @returns {Promise<App>}
 */
export async function startApp() {
  const turn = started % 2;
  started += 1;
  realms[turn] ??= await loadRealm(turn);
  await endApp(realms[turn]);
  // An upgrade that was stopped is one that the simulated database waits for; a browser ends it
  // whole or not at all.
  await realms[turn].withDatabase(async () => undefined);
  return realms[turn];
}

/** @param {number} turn */
async function loadRealm(turn) {
  const addresses = MODULES.map((path) => `${new URL(path, STATIC)}?realm=${turn}`);
  const loaded = await Promise.all(addresses.map((address) => import(address)));
  return Object.assign({}, ...loaded);
}

/**
 * Start the app and give the passphrase.
 *
 * @param {string} [userId]
 */
export async function startUnlocked(userId = "u-ambler") {
  const app = await startApp();
  const { ok, why } = await app.unlock(userId, PASSPHRASE);
  if (!ok) throw new Error(`the phone did not open: ${why}`);
  return app;
}

/**
 * End it, as a browser does with a tab that is gone: its connection to the database is closed.
 *
 * @param {App} app
 */
export async function endApp(app) {
  app.stopSync();
  app.lock();
  await app.closeDatabase();
}
