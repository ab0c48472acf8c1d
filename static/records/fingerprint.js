/** Eight words that stand for a key, for two people to compare by eye or aloud. */
import words from "../../webapp/records/words.json" with { type: "json" };

/** Eight bytes of the key's id, one of 256 words for each: 64 bits. */
const COUNT = 8;

/**
 * Return the eight words of a key.
 *
 * @param {string} kid the key's id, 64 hexadecimal digits
 * @returns {string[]}
 */
export function wordsOf(kid) {
  const bytes = kid.slice(0, 2 * COUNT).match(/../g) ?? [];
  return bytes.map((byte) => words[Number.parseInt(byte, 16)] ?? "");
}
