/** Locks that are quick to open: a lock has 600,000 rounds, and some tests make hundreds. */
const subtle = Object.getPrototypeOf(crypto.subtle);
const { deriveKey } = subtle;

subtle.deriveKey = function quickly(/** @type {any} */ how, /** @type {any[]} */ ...rest) {
  return deriveKey.call(crypto.subtle, { ...how, iterations: 10 }, ...rest);
};
