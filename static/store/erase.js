/** Giving a phone up: everything that Lampside keeps in this browser is deleted, keys included. */
import { announce } from "./changes.js";
import { withDatabase, writeStrictly } from "./idb.js";
import { lock } from "./vault.js";

const SETTINGS = "lampside.";

/** Delete everything; nobody is enrolled here afterwards. */
export async function eraseEverything() {
  lock();
  const stores = await withDatabase(async (database) => [...database.objectStoreNames]);
  await writeStrictly(stores, async (transaction) => {
    for (const store of stores) await transaction.objectStore(store).clear();
  });
  for (const name of Object.keys(globalThis.localStorage ?? {})) {
    if (name.startsWith(SETTINGS)) localStorage.removeItem(name);
  }
  announce({ why: "identity", persons: [] });
}
