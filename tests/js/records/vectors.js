/** The vector files that Python and JavaScript both read. */
import { readFileSync } from "node:fs";

/**
 * @param {string} name
 * @returns {any}
 */
export function readVectors(name) {
  return JSON.parse(readFileSync(new URL(`../../vectors/${name}.json`, import.meta.url), "utf8"));
}

/** @param {Uint8Array} bytes */
export function hexOf(bytes) {
  return Buffer.from(bytes).toString("hex");
}

/** @param {string} hex */
export function bytesOfHex(hex) {
  return new Uint8Array(Buffer.from(hex, "hex"));
}
