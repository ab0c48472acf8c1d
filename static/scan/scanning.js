/**
 * One place of a page where a code is scanned: by the camera, or from a picture.
 *
 * It says what it finds and draws nothing: the desk's page and the app's pages look different.
 *
 * @import { Found, Picked } from "./reader.js"
 * @typedef {object} Heard
 * @property {(code: string) => void} onCode
 * @property {(said: string) => void} onSay what a person should read now
 * @property {(isLooking: boolean) => void} onLook whether the camera is on
 * @property {(code: string) => void} [onSheet] told of a printed sheet's code that was in view
 * @property {Picked} [pick] which code of a picture is meant; the GS1 code of a box by default
 * @property {string} [other] what is said where only another kind of code was seen
 */
import { startCamera, watchFor } from "./camera.js";
import { codeIn, oneCode, pixelsOf, startReader } from "./reader.js";

const SAID = {
  "": "No code in the picture yet. Hold it still, a hand’s width away, in good light.",
  other: "There is a code, but it is not of GS1. Scan the GS1 code of the box, usually a small square.",
  several: "Two different codes are in view. Cover one of them.",
};
const NO_CAMERA =
  "The camera cannot be used here. Take a picture of the code and choose it, or type what is printed.";
const SHEET_SEEN = "The code of a sheet was read. Hold the box into view now.";
const NO_READER = "The code reader did not start. Type what is printed.";
const NO_PICTURE = "This file is no picture that can be read. Choose another one.";

/** A place where a code is scanned. */
export class Scanning {
  /** @param {Heard} heard */
  constructor({ onCode, onSay, onLook, onSheet = () => {}, pick = oneCode, other = SAID.other }) {
    this.onCode = onCode;
    this.onSheet = onSheet;
    this.onSay = onSay;
    this.onLook = onLook;
    this.pick = pick;
    this.said = { ...SAID, other };
    this.isLooking = false;
    this.stopCamera = () => {};
  }

  /**
   * Look with the camera until a code is found; once more, stop looking.
   *
   * @param {HTMLVideoElement} video
   */
  async press(video) {
    if (this.isLooking) {
      this.end("");
      return;
    }
    this.isLooking = true;
    this.onLook(true);
    if (!(await this.#isReady())) return;
    try {
      this.stopCamera = await startCamera(video);
    } catch {
      this.end(NO_CAMERA);
      return;
    }
    const code = await watchFor(video, () => this.isLooking, this.pick, (found) => this.#looked(found));
    if (code !== null && this.isLooking) this.#found(code);
  }

  /**
   * Look into a picture.
   *
   * @param {File | undefined} file
   */
  async choose(file) {
    if (!file || !(await this.#isReady())) return;
    try {
      const bitmap = await createImageBitmap(file);
      const found = await codeIn(pixelsOf(bitmap, bitmap.width, bitmap.height), this.pick);
      this.#looked(found);
      if (found.code !== null) this.#found(found.code);
    } catch {
      this.onSay(NO_PICTURE);
    }
  }

  /**
   * Stop looking; the camera goes off.
   *
   * @param {string} said
   */
  end(said) {
    this.isLooking = false;
    this.stopCamera();
    this.stopCamera = () => {};
    this.onLook(false);
    this.onSay(said);
  }

  /** @param {Found} found in one picture */
  #looked({ code, why, sheet }) {
    if (sheet) this.onSheet(sheet);
    if (code === null) this.onSay(sheet && why !== "several" ? SHEET_SEEN : this.said[why]);
  }

  /** @param {string} code */
  #found(code) {
    this.end("");
    this.onCode(code);
  }

  /** @returns {Promise<boolean>} whether the reader is there */
  async #isReady() {
    this.onSay("The code reader starts …");
    try {
      await startReader();
      this.onSay(SAID[""]);
      return true;
    } catch {
      this.end(NO_READER);
      return false;
    }
  }
}
