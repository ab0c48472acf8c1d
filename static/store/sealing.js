/**
 * The first lock of a phone: its data key is made, and what an older version left in the clear is
 * sealed, in the same transaction. Before it everything is as it was, after it nothing is readable.
 *
 * @import { Enrolment } from "./enrolments.js"
 * @import { OpenedLock } from "./person_lock.js"
 * @import { Wrapped } from "./recovery.js"
 * @typedef {{ made: string, recovery: Wrapped | null }} Vault
 */
import { sealBox } from "./box.js";
import { withDatabase, writeStrictly } from "./idb.js";
import { fixedKeys, makeLock, newDataKey } from "./person_lock.js";
import { keptRow } from "./rows.js";

/** Store -> how a clear row of it is sealed. @type {Record<string, (row: any, dataKey: CryptoKey) => Promise<object>>} */
const SEALED = {
  records: keptRow,
  outbox: sealedOutboxRow,
  drafts: ({ value, ...row }, dataKey) => withBox(row, `drafts/${row.key}`, value, dataKey),
  summaries: ({ summary, ...row }, dataKey) => withBox(row, `summaries/${row.person}`, summary, dataKey),
  seen: ({ value, ...row }, dataKey) => withBox(row, `seen/${row.key}`, value, dataKey),
};
const STORES = Object.keys(SEALED);
/** Facts about this phone that speak of plans and people. */
const SEALED_FACT = "heard";

/** Another tab made the data key meanwhile. */
export class VaultThere extends Error {
  name = "VaultThere";
}

/**
 * Return what is known of this phone's data key, or null before there is one.
 *
 * @returns {Promise<Vault | null>}
 */
export async function vaultHere() {
  return (await withDatabase((database) => database.get("meta", "vault")))?.value ?? null;
}

/**
 * Lock a phone that an older version used in the clear, by the passphrase of one of its people. The
 * person's key of that version cannot be wrapped; it stays until the next sign-in with the network.
 *
 * @param {Enrolment} enrolment
 * @param {string} passphrase already found right
 * @returns {Promise<OpenedLock>}
 */
export async function sealEverything(enrolment, passphrase) {
  const dataKey = await newDataKey();
  const lock = await makeLock(enrolment.userId, passphrase, { dataKey, signingKey: null });
  const { verifier: _, ...rest } = enrolment;
  await startVault(dataKey, { ...rest, lock, wrongTries: 0, lastTryMs: 0 }, null);
  return fixedKeys({ dataKey, signingKey: null });
}

/**
 * Write the first lock of this phone and seal whatever lies there in the clear.
 *
 * @param {CryptoKey} dataKey
 * @param {Enrolment} first
 * @param {Wrapped | null} recovery
 * @throws {VaultThere}
 */
export async function startVault(dataKey, first, recovery) {
  // Sealed before the transaction opens: it would end while the crypto engine is waited for.
  const rows = await sealedRows(dataKey);
  const heard = await sealedHeard(dataKey);
  await writeStrictly([...STORES, "identities", "meta"], async (transaction) => {
    const meta = transaction.objectStore("meta");
    if (await meta.get("vault")) throw new VaultThere("This phone was locked in another tab.");
    for (const [store, row] of rows) await transaction.objectStore(store).put(row);
    const identities = transaction.objectStore("identities");
    for (const other of await identities.getAll()) await identities.put(withoutOldKey(other));
    await identities.put(first);
    if (heard) await meta.put(heard);
    await meta.put({ name: "vault", value: { made: new Date().toISOString(), recovery } });
  });
}

/**
 * @param {CryptoKey} dataKey
 * @returns {Promise<[string, object][]>}
 */
async function sealedRows(dataKey) {
  const found = STORES.map(async (store) => {
    const rows = await withDatabase((database) => database.getAll(store));
    const seal = /** @type {(typeof SEALED)[string]} */ (SEALED[store]);
    return Promise.all(
      rows.map(async (row) => /** @type {[string, object]} */ ([store, await seal(row, dataKey)])),
    );
  });
  return (await Promise.all(found)).flat();
}

/** @param {CryptoKey} dataKey */
async function sealedHeard(dataKey) {
  const row = await withDatabase((database) => database.get("meta", SEALED_FACT));
  if (!row) return null;
  return withBox({ name: SEALED_FACT }, `meta/${SEALED_FACT}`, row.value, dataKey);
}

/**
 * @param {any} row
 * @param {CryptoKey} dataKey
 */
async function sealedOutboxRow({ eye: _, author: __, wall: ___, message, withdrawn, ...row }, dataKey) {
  if (!message && !withdrawn) return { ...row, note: null };
  return { ...row, note: await sealBox(dataKey, `outbox/${row.id}`, { message, withdrawn }) };
}

/**
 * @param {object} row
 * @param {string} place
 * @param {unknown} value
 * @param {CryptoKey} dataKey
 */
async function withBox(row, place, value, dataKey) {
  return { ...row, box: await sealBox(dataKey, place, value ?? null) };
}

/** A key that lies unwrapped on the disk would sign for whoever copies it. @param {any} enrolment */
function withoutOldKey({ privateKey: _, verifier: __, triesLeft: ___, ...rest }) {
  return { lock: null, wrongTries: 0, lastTryMs: 0, ...rest };
}
