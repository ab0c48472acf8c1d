/** Ids of people: UUID version 7 (RFC 9562, 5.7), made on the phone, so no server is asked. */

/**
 * A new UUIDv7 in lower case: 48 bits of time in milliseconds, then 74 random bits.
 * The time only makes ids of one day lie together; nothing is ordered by it.
 *
 * @param {number} [nowMs] milliseconds since 1970
 * @returns {string}
 */
export function newUuid7(nowMs = Date.now()) {
  const random = crypto.getRandomValues(new Uint8Array(10));
  random[0] = 0x70 | (random[0] & 0x0f);
  random[2] = 0x80 | (random[2] & 0x3f);
  const hex = nowMs.toString(16).padStart(12, "0") + Array.from(random, twoDigits).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

/** @param {number} byte */
function twoDigits(byte) {
  return byte.toString(16).padStart(2, "0");
}
