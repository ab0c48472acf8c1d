/**
 * From a passphrase to a key: salted and slow, so that guessing on a stolen phone costs time.
 *
 * PBKDF2-SHA-256 with 600,000 rounds is the least OWASP's Password Storage Cheat Sheet advises
 * (from memory). It slows guessing on a copied disk and does not prevent it: long passphrases do.
 */
export const ROUNDS = 600_000;
const SALT_BYTES = 16;

/** @returns {Uint8Array<ArrayBuffer>} */
export function newSalt() {
  return crypto.getRandomValues(new Uint8Array(SALT_BYTES));
}

/**
 * Return the key that wraps and unwraps other keys, and does nothing else.
 *
 * @param {string} passphrase
 * @param {Uint8Array<ArrayBuffer>} salt
 * @param {number} rounds
 * @returns {Promise<CryptoKey>}
 */
export async function wrappingKey(passphrase, salt, rounds) {
  const how = { name: "PBKDF2", hash: "SHA-256", salt, iterations: rounds };
  const aes = { name: "AES-GCM", length: 256 };
  const uses = /** @type {KeyUsage[]} */ (["wrapKey", "unwrapKey"]);
  return crypto.subtle.deriveKey(how, await typedKey(passphrase, "deriveKey"), aes, false, uses);
}

/**
 * Say whether a passphrase is the one an older version of this app kept a slow hash of.
 *
 * @param {{ salt: Uint8Array<ArrayBuffer>, hash: Uint8Array, rounds: number }} verifier
 * @param {string} passphrase
 * @returns {Promise<boolean>}
 */
export async function matches({ salt, hash, rounds }, passphrase) {
  const how = { name: "PBKDF2", hash: "SHA-256", salt, iterations: rounds };
  const typed = await typedKey(passphrase, "deriveBits");
  const made = new Uint8Array(await crypto.subtle.deriveBits(how, typed, hash.length * 8));
  let difference = 0;
  for (const [index, byte] of made.entries()) difference |= byte ^ (hash[index] ?? 0);
  return difference === 0;
}

/**
 * @param {string} passphrase
 * @param {KeyUsage} use
 */
function typedKey(passphrase, use) {
  // Keyboards differ in how they write an accent; the composed form is the passphrase.
  const text = new TextEncoder().encode(passphrase.normalize("NFC"));
  return crypto.subtle.importKey("raw", text, "PBKDF2", false, [use]);
}
