/**
 * Read the GS1 code in a picture, separators and symbology included.
 *
 * The reader is WebAssembly of our own origin, fetched when somebody first scans. It runs on the
 * page: a picture of 960 pixels takes it a fraction of a second.
 */
import { prepareZXingModule, readBarcodes } from "zxing-wasm/reader";

/** @type {import("zxing-wasm/reader").ReadInputBarcodeFormat[]} */
const FORMATS = ["DataMatrix", "QRCode", "Code128"];
/** A separator as fields and records show it; a plain one cannot be seen. */
const SEPARATOR = "\u001d";
const SEPARATOR_PICTURE = "\u241d";
const LONGEST_SIDE = 960;

/**
 * What was found: one GS1 code, or a sentence that says why not.
 *
 * @typedef {{ code: string, why: "" } | { code: null, why: "" | "other" | "several" }} Found
 */

/** Fetch and start the reader. */
export async function startReader() {
  await prepareZXingModule({
    overrides: { locateFile: () => __BUILD__.readerUrl },
    fireImmediately: true,
  });
}

/**
 * Return the one GS1 code of a picture.
 *
 * @param {ImageData} picture
 * @returns {Promise<Found>}
 */
export async function codeIn(picture) {
  const began = performance.now();
  const read = await readBarcodes(picture, {
    formats: FORMATS,
    tryHarder: true,
    maxNumberOfSymbols: 4,
    textMode: "Plain",
  });
  // So that anybody can see in the browser's own tools what a picture costs on their machine.
  performance.measure("code read", { start: began });
  return oneCode(read);
}

/**
 * Choose among the codes that were read: two different ones of GS1 are no answer.
 *
 * @param {{ isValid: boolean, text: string, symbologyIdentifier: string, contentType: string }[]} read
 * @returns {Found}
 */
export function oneCode(read) {
  const whole = read.filter(({ isValid }) => isValid);
  const ofGs1 = whole.filter(({ contentType }) => contentType === "GS1");
  const codes = new Set(ofGs1.map(({ symbologyIdentifier, text }) => symbologyIdentifier + shown(text)));
  const [code] = codes;
  if (code === undefined) return { code: null, why: whole.length > 0 ? "other" : "" };
  return codes.size === 1 ? { code, why: "" } : { code: null, why: "several" };
}

/** @param {string} text */
function shown(text) {
  return text.replaceAll(SEPARATOR, SEPARATOR_PICTURE);
}

/**
 * Draw something at a size that is quick to read, and return its pixels.
 *
 * @param {CanvasImageSource} source
 * @param {number} width its own width
 * @param {number} height its own height
 * @returns {ImageData}
 */
export function pixelsOf(source, width, height) {
  const scale = Math.min(1, LONGEST_SIDE / Math.max(width, height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(width * scale);
  canvas.height = Math.round(height * scale);
  const context = canvas.getContext("2d", { willReadFrequently: true });
  if (!context) throw new Error("this browser cannot look into a picture");
  context.drawImage(source, 0, 0, canvas.width, canvas.height);
  return context.getImageData(0, 0, canvas.width, canvas.height);
}
