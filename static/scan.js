/**
 * Scanning on a page of the desk: the camera, or a picture, fills the field of the code.
 *
 * The page works without it: a reader at the cable, or a person, types into the same field.
 */
import { startCamera, watchFor } from "./scan/camera.js";
import { codeIn, pixelsOf, startReader } from "./scan/reader.js";

const SAID = {
  "": "No code in the picture yet. Hold the box still, a hand’s width away, in good light.",
  other: "There is a code, but it is not of GS1. Scan the GS1 code of the box, usually a small square.",
  several: "Two different codes are in view. Cover one of them.",
};
const FILLED = "Scanned. Compare it with the box before you go on.";
const NO_CAMERA = "The camera cannot be used here. Take a picture of the code and choose it, or type the code.";
const NO_READER = "The code reader did not start. Type the code.";

/**
 * @template {keyof HTMLElementTagNameMap} Tag
 * @param {Tag} tag
 * @param {string} className
 * @param {string} text
 */
function made(tag, className, text = "") {
  const element = document.createElement(tag);
  element.className = className;
  element.textContent = text;
  return element;
}

/** One place of a page where a code can be scanned. */
class Scan {
  /** @param {HTMLElement} place @param {HTMLInputElement} field */
  constructor(place, field) {
    this.field = field;
    this.isLooking = false;
    this.stop = () => {};
    this.video = made("video", "scan-view");
    this.video.muted = true;
    this.video.playsInline = true;
    this.video.hidden = true;
    this.said = made("p", "t-small");
    this.said.setAttribute("role", "status");
    this.button = made("button", "btn", "Scan with the camera");
    this.button.type = "button";
    this.picture = made("input", "scan-picture");
    this.picture.type = "file";
    this.picture.accept = "image/*";
    this.picture.id = "scan-picture";
    const label = made("label", "", "Or a picture of the code");
    label.htmlFor = this.picture.id;
    this.button.addEventListener("click", () => void this.press());
    this.picture.addEventListener("change", () => void this.choose());
    place.append(this.button, this.video, this.said, label, this.picture);
    place.hidden = false;
  }

  async press() {
    if (this.isLooking) {
      this.end("");
      return;
    }
    this.isLooking = true;
    this.button.textContent = "Stop the camera";
    this.video.hidden = false;
    if (!(await this.isReady())) return;
    try {
      this.stop = await startCamera(this.video);
    } catch {
      this.end(NO_CAMERA);
      return;
    }
    const code = await watchFor(this.video, () => this.isLooking, (found) => this.say(SAID[found.why]));
    if (code !== null) this.fill(code);
  }

  async choose() {
    const [file] = this.picture.files ?? [];
    if (!file || !(await this.isReady())) return;
    try {
      const bitmap = await createImageBitmap(file);
      const found = await codeIn(pixelsOf(bitmap, bitmap.width, bitmap.height));
      if (found.code === null) this.say(SAID[found.why]);
      else this.fill(found.code);
    } catch {
      this.say("This file is no picture that can be read. Choose another one.");
    }
  }

  /** @returns {Promise<boolean>} whether the reader is there */
  async isReady() {
    this.say("The code reader starts …");
    try {
      await startReader();
      this.say(SAID[""]);
      return true;
    } catch {
      this.end(NO_READER);
      return false;
    }
  }

  /** @param {string} code */
  fill(code) {
    this.field.value = code;
    this.end(FILLED);
    this.field.focus();
  }

  /** @param {string} text */
  end(text) {
    this.isLooking = false;
    this.stop();
    this.stop = () => {};
    this.video.hidden = true;
    this.button.textContent = "Scan with the camera";
    this.say(text);
  }

  /** @param {string} text */
  say(text) {
    if (this.said.textContent !== text) this.said.textContent = text;
  }
}

for (const place of document.querySelectorAll("[data-scan]")) {
  const field = place instanceof HTMLElement && document.getElementById(place.dataset.into ?? "");
  if (field instanceof HTMLInputElement && place instanceof HTMLElement) new Scan(place, field);
}
