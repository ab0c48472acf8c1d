/** The public keys of every device the base has enrolled, to check who signed what. */
import { fromBase64Url, hexSha256 } from "../records/bytes.js";
import { withDatabase, writeStrictly } from "./idb.js";
import { publicKey } from "./signing_key.js";

/**
 * @typedef {{ kid: string, spki: string, user: string, name: string, label: string, revoked: string | null }} DeviceKey
 */

/** @type {Map<string, CryptoKey>} */
const ready = new Map();

/**
 * Keep the base's list of keys; a key whose name is not its own hash is left out.
 *
 * @param {DeviceKey[]} keys
 */
export async function keepKeys(keys) {
  const honest = await Promise.all(
    keys.map(async (key) => ((await hexSha256(fromBase64Url(key.spki))) === key.kid ? [key] : [])),
  );
  await writeStrictly(["keys"], async (transaction) => {
    for (const key of honest.flat()) await transaction.objectStore("keys").put(key);
  });
}

/**
 * Return the key that verifies what `kid` signed, or null if it is not known here.
 *
 * A revoked key still verifies: what the base accepted before it was revoked stays valid.
 *
 * @param {string} kid
 * @returns {Promise<CryptoKey | null>}
 */
export async function verifyingKey(kid) {
  const known = ready.get(kid);
  if (known) return known;
  const kept = await keyOf(kid);
  if (!kept) return null;
  const key = await publicKey(kept.spki);
  ready.set(kid, key);
  return key;
}

/**
 * Return whose device a key is, or null.
 *
 * @param {string} kid
 * @returns {Promise<DeviceKey | null>}
 */
export async function keyOf(kid) {
  return (await withDatabase((database) => database.get("keys", kid))) ?? null;
}
