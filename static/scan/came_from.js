/**
 * Where the text of a field came from: a reader at the cable, which writes faster than fingers, or keys.
 *
 * The text itself says nothing of that: everything that a reader writes, a person can type.
 */

/** The shortest code of a box: the identifier 01 and the 14 digits of the product number. */
const LEAST_KEYS = 16;
/** The mean from key to key: readers take 1 to 20 ms, quick fingers 80 (common practice). */
const MOST_MS_A_KEY = 35;
/** A longer pause begins a new text. */
const PAUSE_MS = 250;

/** The keys pressed in one field, and what they make of its text. */
export class Keys {
  count = 0;
  first_ms = 0;
  last_ms = 0;
  text = "";
  isPressed = false;

  /** @param {Pick<KeyboardEvent, "timeStamp" | "repeat">} event */
  note({ timeStamp, repeat }) {
    // A key held down repeats itself as fast as a reader writes.
    if (repeat || timeStamp - this.last_ms > PAUSE_MS) this.count = 0;
    if (this.count === 0) this.first_ms = timeStamp;
    this.last_ms = timeStamp;
    this.count += 1;
    this.isPressed = true;
  }

  /**
   * Return where all of a text came from: what was put in without keys, or in part, was no reader's.
   *
   * @param {string} text
   * @returns {"reader" | "keys"}
   */
  source(text) {
    // A mouse pastes, drops or cuts without a key: what the keys wrote before is gone.
    if (text !== this.text && !this.isPressed) this.count = 0;
    this.text = text;
    this.isPressed = false;
    // A reader may have no key for the separators.
    const keys = [...text.trim()].filter((sign) => sign > " " && sign !== "\u241d").length;
    const isWhole = keys >= LEAST_KEYS && this.count >= keys;
    return isWhole && this.last_ms - this.first_ms < MOST_MS_A_KEY * (this.count - 1) ? "reader" : "keys";
  }
}
