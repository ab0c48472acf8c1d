/** A person's signing key on this device: made here, never exportable, proven before it is used. */
import { fromBase64Url, hexSha256, toBase64Url } from "../records/bytes.js";

const P256 = { name: "ECDSA", namedCurve: "P-256" };
const WITH_SHA256 = { name: "ECDSA", hash: "SHA-256" };
const PROBE = new TextEncoder().encode("lampside-self-test/1\n");

/**
 * Make a P-256 key pair whose private half cannot leave this browser.
 *
 * @returns {Promise<{ kid: string, privateKey: CryptoKey, spki: string }>}
 */
export async function makeKey() {
  const pair = await crypto.subtle.generateKey(P256, false, ["sign", "verify"]);
  const spki = new Uint8Array(await crypto.subtle.exportKey("spki", pair.publicKey));
  return { kid: await hexSha256(spki), privateKey: pair.privateKey, spki: toBase64Url(spki) };
}

/**
 * Return the public half of a key as something that can verify.
 *
 * @param {string} spki base64url
 * @returns {Promise<CryptoKey>}
 */
export function publicKey(spki) {
  return crypto.subtle.importKey("spki", fromBase64Url(spki), P256, true, ["verify"]);
}

/**
 * Say whether a key read back from storage signs what its public half verifies.
 *
 * @param {{ kid: string, privateKey: CryptoKey, spki: string }} kept
 * @returns {Promise<boolean>}
 */
export async function keyWorks({ kid, privateKey, spki }) {
  try {
    if (privateKey.extractable || (await hexSha256(fromBase64Url(spki))) !== kid) return false;
    const signature = await crypto.subtle.sign(WITH_SHA256, privateKey, PROBE);
    return await crypto.subtle.verify(WITH_SHA256, await publicKey(spki), signature, PROBE);
  } catch {
    // Some private modes hand back a key that is no key any more: the answer is no.
    return false;
  }
}
