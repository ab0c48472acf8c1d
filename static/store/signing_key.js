/** A person's signing key on this device: made here, never exportable, proven before it is used. */
import { fromBase64url, toBase64url } from "../records/envelope.js";
import { keyId, newKey, sign, verify } from "../records/signing.js";

const PROBE = new TextEncoder().encode("self-test");

/**
 * Make a P-256 key pair whose private half cannot leave this browser.
 *
 * @returns {Promise<{ kid: string, privateKey: CryptoKey, spki: string }>} spki in base64url
 */
export async function makeKey() {
  const { kid, privateKey, spki } = await newKey();
  return { kid, privateKey, spki: toBase64url(spki) };
}

/**
 * Say whether a key read back from storage signs what its public half verifies.
 *
 * @param {{ kid: string, privateKey: CryptoKey, spki: string }} kept
 * @returns {Promise<boolean>}
 */
export async function keyWorks({ kid, privateKey, spki }) {
  try {
    const publicBytes = fromBase64url(spki, "spki");
    if (privateKey.extractable || (await keyId(publicBytes)) !== kid) return false;
    await verify(publicBytes, PROBE, await sign(privateKey, PROBE));
    return true;
  } catch {
    // Some private modes hand back a key that is no key any more: the answer is no.
    return false;
  }
}
