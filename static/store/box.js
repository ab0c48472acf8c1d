/**
 * One value sealed for the disk: AES-256-GCM under the phone's data key, bound to its own place.
 *
 * The place (store and key of the row) is additional data: a box moved to another row does not open.
 *
 * @typedef {{ iv: Uint8Array<ArrayBuffer>, bytes: Uint8Array<ArrayBuffer> }} Box
 */
const DOMAIN = "lampside-box/1\n";
/** Random 96 bits a box (NIST SP 800-38D, 8.2.2, allows 2^32 boxes under one key). */
const IV_BYTES = 12;

/** What lies on the disk is not what was put there, or not at this place, or not by this key. */
export class BoxBroken extends Error {
  name = "BoxBroken";
}

/**
 * Seal plain data.
 *
 * @param {CryptoKey} dataKey
 * @param {string} place such as `records/ID`
 * @param {unknown} value what JSON can carry
 * @returns {Promise<Box>}
 */
export async function sealBox(dataKey, place, value) {
  const iv = newIv();
  const text = new TextEncoder().encode(JSON.stringify(value));
  const bytes = new Uint8Array(await crypto.subtle.encrypt(gcm(iv, place), dataKey, text));
  return { iv, bytes };
}

/**
 * Return what was sealed at this place.
 *
 * @param {CryptoKey} dataKey
 * @param {string} place
 * @param {Box} box
 * @returns {Promise<any>}
 * @throws {BoxBroken}
 */
export async function openBox(dataKey, place, box) {
  try {
    const text = await crypto.subtle.decrypt(gcm(box.iv, place), dataKey, box.bytes);
    return JSON.parse(new TextDecoder().decode(text));
  } catch (cause) {
    throw new BoxBroken(
      "Something this phone keeps was changed from outside and does not open. Tell the base desk.",
      { cause },
    );
  }
}

/**
 * Return the parameters of AES-GCM for one place.
 *
 * @param {Uint8Array<ArrayBuffer>} iv
 * @param {string} place
 */
export function gcm(iv, place) {
  return { name: "AES-GCM", iv, additionalData: new TextEncoder().encode(DOMAIN + place) };
}

/** @returns {Uint8Array<ArrayBuffer>} */
export function newIv() {
  return crypto.getRandomValues(new Uint8Array(IV_BYTES));
}
