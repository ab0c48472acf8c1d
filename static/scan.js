/**
 * Scanning on a page of the desk: the camera, or a picture, fills the field of the code.
 *
 * The page works without it: a reader at the cable, or a person, types into the same field.
 */
import { Keys } from "./scan/came_from.js";
import { Scanning } from "./scan/scanning.js";

const FILLED = "Scanned. Compare it with the box before you go on.";

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
    const said = field.form?.elements.namedItem("code_by");
    this.by = said instanceof HTMLInputElement ? said : null;
    const keys = new Keys();
    field.addEventListener("keydown", (event) => keys.note(event));
    field.addEventListener("input", () => this.from(keys.source(field.value)));
    this.scanning = new Scanning({
      onCode: (code) => this.fill(code),
      onSay: (said) => this.say(said),
      onLook: (isLooking) => this.show(isLooking),
    });
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
    this.button.addEventListener("click", () => void this.scanning.press(this.video));
    this.picture.addEventListener("change", () => void this.scanning.choose(this.picture.files?.[0]));
    place.append(this.button, this.video, this.said, label, this.picture);
    place.hidden = false;
  }

  /** @param {boolean} isLooking */
  show(isLooking) {
    this.video.hidden = !isLooking;
    this.button.textContent = isLooking ? "Stop the camera" : "Scan with the camera";
  }

  /** @param {string} code */
  fill(code) {
    this.field.value = code;
    this.from("reader");
    this.say(FILLED);
    this.field.focus();
  }

  /** @param {"reader" | "keys"} source */
  from(source) {
    if (this.by) this.by.value = source;
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
