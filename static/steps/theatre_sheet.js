/**
 * A printed sheet whose code is scanned: is its order still the one that stands (hazard H45)?
 *
 * @typedef {{ is: "current" | "old" | "unknown", text: string, href?: string }} Verdict
 */
import { html, nothing } from "lit-html";
import { CoreFailed } from "../core/runtime.js";
import { oneSheet } from "../scan/reader.js";
import { Scanning } from "../scan/scanning.js";
import { recordOf } from "../store/journal.js";
import { eyeWord } from "../ui/eyes.js";
import { findingBlock } from "../ui/findings.js";
import { icon } from "../ui/icons.js";
import { today } from "../ui/moments.js";
import { askAbout, openCasefile } from "./casefile.js";

/**
 * @typedef {object} Sheet
 * @property {boolean} isScanning
 * @property {string} said
 * @property {Verdict | null} verdict
 * @property {() => void} scan
 * @property {(file: File | undefined) => void} picture
 * @property {() => void} stop
 */
const ID = /^[0-9a-f]{64}$/;
const OTHER = "There is a code, but not one of our printed sheets. A box is scanned at the check of its eye.";
const UNKNOWN = "Its order is not on this device, so nothing can be said of it. Don’t work from this sheet; ask the base.";

/**
 * @param {() => void} redraw
 * @returns {Sheet}
 */
export function newSheet(redraw) {
  const scanning = new Scanning({
    pick: oneSheet,
    other: OTHER,
    onSay: (said) => change({ said }),
    onLook: (isScanning) => change({ isScanning }),
    onCode: (code) => void verdictOn(code).then((verdict) => change({ verdict })),
  });
  /** @type {Sheet} */
  const sheet = {
    ...{ isScanning: false, said: "", verdict: null },
    scan: () => {
      sheet.verdict = null;
      void scanning.press(/** @type {HTMLVideoElement} */ (document.getElementById("sheet-view")));
    },
    picture: (file) => {
      sheet.verdict = null;
      void scanning.choose(file);
    },
    stop: () => scanning.end(""),
  };
  /** @param {Partial<Sheet>} part */
  const change = (part) => {
    Object.assign(sheet, part);
    redraw();
  };
  return sheet;
}

/** @param {Sheet} sheet */
export function sheetSection({ isScanning, said, verdict, scan, picture }) {
  return html`<button type="button" class="btn full" @click=${scan}>${isScanning ? "Stop the camera" : "Scan the code of a sheet"}</button>
    <video id="sheet-view" class="scan-view" muted playsinline ?hidden=${!isScanning}></video>
    <p class="t-small" role="status">${said}</p>
    ${verdict ? verdictBlock(verdict) : nothing}
    <div class="field"><label for="sheet-picture">Or a picture of its code</label>
      <input id="sheet-picture" class="scan-picture" type="file" accept="image/*"
        @change=${(/** @type {any} */ event) => picture(event.target.files?.[0])} /></div>`;
}

/** @param {Verdict} verdict */
export function verdictBlock({ is, text, href }) {
  if (is === "current") return html`<p class="answer" role="status">${icon("tick")}${text}</p>
    ${href ? html`<a class="btn full" href=${href}>Open the check of this eye</a>` : nothing}`;
  const title = is === "old" ? "Do not work from this sheet" : "This sheet is not known here";
  return html`<div role="alert">${findingBlock({ level: "stop", title, text, do: "" })}</div>`;
}

/**
 * Return whether a sheet still says what the records on this device say; the core judges.
 *
 * @param {string} code
 * @returns {Promise<Verdict>}
 */
async function verdictOn(code) {
  const order = await orderIn(code);
  if (!order) return { is: "unknown", text: UNKNOWN };
  const { person, eye } = order.payload;
  try {
    const casefile = await openCasefile(person);
    const question = { do: "theatre", eye, order: order.id, days: [today()], sheet: code };
    const { sheet } = await askAbout(casefile, question);
    return { ...verdictIn(sheet, `${eyeWord(eye)}. `), href: `#/theatre/${person}/${eye}` };
  } catch (error) {
    if (!(error instanceof CoreFailed)) throw error;
    return { is: "unknown", text: error.message };
  }
}

/**
 * @param {{ current: 0 | 1, text: string }} sheet as the core says it
 * @param {string} [before] what the sentence begins with
 * @returns {Verdict}
 */
export function verdictIn({ current, text }, before = "") {
  return { is: current ? "current" : "old", text: `${before}${text}` };
}

/**
 * Return the order that a sheet's code names, where it is here; the core knows in which place.
 *
 * @param {string} code
 */
async function orderIn(code) {
  const named = await Promise.all(code.split(":").filter((piece) => ID.test(piece)).map(recordOf));
  return named.find((record) => record?.payload.kind === "order.placed") ?? null;
}
