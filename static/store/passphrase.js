/**
 * Checking a passphrase without the network: a salted, slow hash kept beside the person's key.
 *
 * PBKDF2-SHA-256 with 600,000 rounds is the least OWASP's Password Storage Cheat Sheet advises
 * (from memory). It slows guessing on a stolen phone and does not prevent it, so five wrong tries
 * close this door until the person has signed in online.
 *
 * @typedef {{ salt: Uint8Array, hash: Uint8Array, rounds: number }} Verifier
 */
const ROUNDS = 600_000;
const SALT_BYTES = 16;
const HASH_BITS = 256;

/** Wrong tries allowed before an online sign-in is needed. */
export const TRIES = 5;

/**
 * Return what is kept to check `passphrase` later; the passphrase itself is never kept.
 *
 * @param {string} passphrase
 * @returns {Promise<Verifier>}
 */
export async function makeVerifier(passphrase) {
  const salt = crypto.getRandomValues(new Uint8Array(SALT_BYTES));
  return { salt, rounds: ROUNDS, hash: await slowHash(passphrase, salt, ROUNDS) };
}

/**
 * Say whether `passphrase` is the one the verifier was made from.
 *
 * @param {Verifier} verifier
 * @param {string} passphrase
 * @returns {Promise<boolean>}
 */
export async function matches(verifier, passphrase) {
  const hash = await slowHash(passphrase, verifier.salt, verifier.rounds);
  let difference = hash.length ^ verifier.hash.length;
  hash.forEach((byte, index) => {
    difference |= byte ^ (verifier.hash[index] ?? 0);
  });
  return difference === 0;
}

/**
 * @param {string} passphrase
 * @param {Uint8Array} salt
 * @param {number} rounds
 * @returns {Promise<Uint8Array>}
 */
async function slowHash(passphrase, salt, rounds) {
  const text = new TextEncoder().encode(passphrase.normalize("NFC"));
  const key = await crypto.subtle.importKey("raw", text, "PBKDF2", false, ["deriveBits"]);
  const salted = /** @type {BufferSource} */ (salt);
  const how = { name: "PBKDF2", hash: "SHA-256", salt: salted, iterations: rounds };
  return new Uint8Array(await crypto.subtle.deriveBits(how, key, HASH_BITS));
}
