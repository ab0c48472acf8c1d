/**
 * The device's database: its shape, and one way to open it that survives a dropped connection.
 *
 * Phones close database connections behind an app's back, so nobody keeps a handle: `withDatabase`
 * opens on demand, lets go when the page is hidden, and tries once more when a handle proved dead.
 *
 * @import { IDBPDatabase, IDBPTransaction } from "idb"
 */
import { openDB } from "idb";

export const DATABASE_NAME = "lampside";
/** 2: what was said is sealed (`sealing.js` seals what version 1 left in the clear). */
const DATABASE_VERSION = 2;

/**
 * Store name -> key path and indexes (name -> [key path, unique]).
 *
 * @type {Record<string, { keyPath: string, indexes: Record<string, [string | string[], boolean]> }>}
 */
const STORES = {
  records: {
    keyPath: "id",
    indexes: {
      person: ["person", false],
      kind: ["kind", false],
      site_kind: [["site", "kind"], false],
      // A second record at one place of a key's chain would be a fork; the index refuses it.
      chain: [["kid", "seq"], true],
    },
  },
  outbox: { keyPath: "id", indexes: { chain: [["kid", "seq"], true], person: ["person", false] } },
  heads: { keyPath: "kid", indexes: {} },
  cursors: { keyPath: "site", indexes: {} },
  identities: { keyPath: "userId", indexes: {} },
  keys: { keyPath: "kid", indexes: {} },
  drafts: { keyPath: "key", indexes: {} },
  summaries: { keyPath: "person", indexes: {} },
  seen: { keyPath: "key", indexes: {} },
  meta: { keyPath: "name", indexes: {} },
};

/** What a connection closed from outside raises; anything else is the caller's to see. */
const DEAD_HANDLE = new Set(["InvalidStateError", "UnknownError"]);

/** @type {Promise<IDBPDatabase> | null} */
let opening = null;

/**
 * Run `work` with an open database, once more on a fresh handle if the old one was dead.
 *
 * `work` must be safe to run twice: every transaction in it either happened whole or not at all.
 *
 * @template T
 * @param {(database: IDBPDatabase) => Promise<T>} work
 * @returns {Promise<T>}
 */
export async function withDatabase(work) {
  try {
    return await work(await handle());
  } catch (error) {
    if (!DEAD_HANDLE.has(/** @type {Error} */ (error).name)) throw error;
    await closeDatabase();
    return work(await handle());
  }
}

/**
 * Run one all-or-nothing write that is on the disk, not only handed over, before it resolves.
 *
 * @template T
 * @param {string[]} stores
 * @param {(transaction: IDBPTransaction<unknown, string[], "readwrite">) => Promise<T>} work
 * @returns {Promise<T>}
 */
export function writeStrictly(stores, work) {
  return withDatabase((database) => write(database, stores, work));
}

/**
 * @template T
 * @param {IDBPDatabase} database
 * @param {string[]} stores
 * @param {(transaction: IDBPTransaction<unknown, string[], "readwrite">) => Promise<T>} work
 * @returns {Promise<T>}
 */
async function write(database, stores, work) {
  const transaction = database.transaction(stores, "readwrite", { durability: "strict" });
  // Both promises are awaited together, so that a failed write is never an unheard rejection.
  const done = transaction.done;
  try {
    const [answer] = await Promise.all([work(transaction), done]);
    return answer;
  } catch (error) {
    abandon(transaction);
    await done.catch(() => undefined);
    throw transaction.error ?? error;
  }
}

/** @param {IDBPTransaction<unknown, string[], "readwrite">} transaction */
function abandon(transaction) {
  try {
    transaction.abort();
  } catch {
    // It had ended already: an error inside the database ends a transaction by itself.
  }
}

/** Let go of the connection; the next use opens another. */
export async function closeDatabase() {
  const current = opening;
  opening = null;
  const database = await current?.catch(() => null);
  database?.close();
}

/** @returns {Promise<IDBPDatabase>} */
function handle() {
  opening ??= openDB(DATABASE_NAME, DATABASE_VERSION, {
    upgrade: createMissingStores,
    blocking: () => void closeDatabase(),
    terminated: () => {
      opening = null;
    },
  }).catch((error) => {
    opening = null;
    throw error;
  });
  return opening;
}

/** @param {IDBPDatabase} database */
function createMissingStores(database) {
  for (const [name, { keyPath, indexes }] of Object.entries(STORES)) {
    if (database.objectStoreNames.contains(name)) continue;
    const store = database.createObjectStore(name, { keyPath });
    for (const [index, [path, unique]] of Object.entries(indexes)) {
      store.createIndex(index, path, { unique });
    }
  }
}

if (globalThis.document) {
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden") void closeDatabase();
  });
}
