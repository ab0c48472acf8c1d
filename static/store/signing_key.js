/** A person's signing key on this phone: made here, proven before it is used. */
import { fromBase64url, toBase64url } from "../records/envelope.js";
import { keyId, newExportableKey, sign, verify } from "../records/signing.js";

const PROBE = new TextEncoder().encode("self-test");

/**
 * Make a P-256 key pair. The private half is exportable this once, to be wrapped for the disk; what
 * is opened from there cannot be exported.
 *
 * @returns {Promise<{ kid: string, signingKey: CryptoKey, spki: string }>} spki in base64url
 */
export async function makeKey() {
  const { kid, privateKey, spki } = await newExportableKey();
  return { kid, signingKey: privateKey, spki: toBase64url(spki) };
}

/**
 * Say whether a key read back from storage signs what its public half verifies.
 *
 * @param {{ kid: string, spki: string }} named
 * @param {CryptoKey} signingKey
 * @returns {Promise<boolean>}
 */
export async function keyWorks({ kid, spki }, signingKey) {
  try {
    const publicBytes = fromBase64url(spki, "spki");
    if ((await keyId(publicBytes)) !== kid) return false;
    await verify(publicBytes, PROBE, await sign(signingKey, PROBE));
    return true;
  } catch {
    // Some private modes hand back a key that is no key any more: the answer is no.
    return false;
  }
}
