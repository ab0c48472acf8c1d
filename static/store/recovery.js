/**
 * The hospital's way back to what a phone keeps: the data key wrapped to a public key whose private
 * part lies offline at the base.
 *
 * The first public key that the base names is pinned; another one later is not taken silently.
 *
 * @typedef {{ name: string, bytes: Uint8Array<ArrayBuffer> }} Wrapped
 *   `name` is the hex SHA-256 of the public key (SPKI)
 */
import { fromBase64url } from "../records/envelope.js";
import { sha256Hex } from "../records/signing.js";
import { writeStrictly } from "./idb.js";
import { vaultHere } from "./sealing.js";

const RSA = { name: "RSA-OAEP", hash: "SHA-256" };
const LABEL = new TextEncoder().encode("lampside-data-key/1");

/**
 * Wrap a data key so that only the hospital's recovery key opens it.
 *
 * @param {CryptoKey} dataKey exportable
 * @param {string | null} spki the base's recovery key, base64url; null where it has none
 * @returns {Promise<Wrapped | null>}
 */
export async function wrappedForBase(dataKey, spki) {
  if (spki === null) return null;
  const publicBytes = fromBase64url(spki, "recovery");
  const key = await crypto.subtle.importKey("spki", publicBytes, RSA, false, ["wrapKey"]);
  const bytes = await crypto.subtle.wrapKey("raw", dataKey, key, { ...RSA, label: LABEL });
  return { name: await sha256Hex(publicBytes), bytes: new Uint8Array(bytes) };
}

/**
 * Wrap the data key to the base if that was not done when the phone was first locked.
 *
 * @param {CryptoKey} dataKey exportable
 * @param {string | null} spki
 */
export async function addRecovery(dataKey, spki) {
  const vault = await vaultHere();
  if (!vault || vault.recovery || spki === null) return;
  const recovery = await wrappedForBase(dataKey, spki);
  await writeStrictly(["meta"], async (transaction) => {
    await transaction.objectStore("meta").put({ name: "vault", value: { ...vault, recovery } });
  });
}

/**
 * Return the name of the recovery key that opens this phone at the base, or null.
 *
 * @returns {Promise<string | null>}
 */
export async function recoveryName() {
  return (await vaultHere())?.recovery?.name ?? null;
}
