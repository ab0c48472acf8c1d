/** The public keys of every device the base has enrolled, to check who signed what. */
import { fromBase64url } from "../records/envelope.js";
import { keyId } from "../records/signing.js";
import { withDatabase, writeStrictly } from "./idb.js";

/**
 * @typedef {{ kid: string, spki: string, user: string, name: string, label: string, revoked: number }} DeviceKey (revoked: 1, else 0)
 */

/**
 * Keep the base's list of keys; a key whose name is not its own hash is left out.
 *
 * @param {DeviceKey[]} keys
 */
export async function keepKeys(keys) {
  const honest = await Promise.all(
    keys.map(async (key) => ((await isHonest(key)) ? [key] : [])),
  );
  await writeStrictly(["keys"], async (transaction) => {
    for (const key of honest.flat()) await transaction.objectStore("keys").put(key);
  });
}

/**
 * Return whose device a key is, or null. A revoked key stays: it still verifies what the base
 * accepted before.
 *
 * @param {string} kid
 * @returns {Promise<DeviceKey | null>}
 */
export async function keyOf(kid) {
  return (await withDatabase((database) => database.get("keys", kid))) ?? null;
}

/**
 * Return what each person is called, by user id.
 *
 * @returns {Promise<Map<string, string>>}
 */
export async function namesOfUsers() {
  const keys = await withDatabase((database) => database.getAll("keys"));
  return new Map(keys.map(({ user, name }) => [user, name]));
}

/** @param {DeviceKey} key */
async function isHonest({ kid, spki }) {
  return (await keyId(fromBase64url(spki, "spki"))) === kid;
}
