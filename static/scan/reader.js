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
/** How the code of every printed sheet of ours begins. */
const SHEET = "lampside-";

/**
 * What was found: one code of the kind that was meant, or why not; beside it a printed sheet's.
 *
 * @typedef {{ code: string, why: "" } | { code: null, why: "" | "other" | "several" }} One
 * @typedef {One & { sheet?: string | null }} Found
 * @typedef {{ isValid: boolean, text: string, symbologyIdentifier: string, contentType: string }} Read
 * @typedef {(read: Read[]) => Found} Picked
 */

/** Fetch and start the reader. */
export async function startReader() {
  await prepareZXingModule({
    overrides: { locateFile: () => __BUILD__.readerUrl },
    fireImmediately: true,
  });
}

/**
 * Return the one code of a picture that is meant.
 *
 * @param {ImageData} picture
 * @param {Picked} pick
 * @returns {Promise<Found>}
 */
export async function codeIn(picture, pick) {
  const began = performance.now();
  const read = await readBarcodes(picture, {
    formats: FORMATS,
    tryHarder: true,
    maxNumberOfSymbols: 4,
    textMode: "Plain",
  });
  // So that anybody can see in the browser's own tools what a picture costs on their machine.
  performance.measure("code read", { start: began });
  return pick(read);
}

/**
 * Choose among the codes that were read: two different ones of GS1 are no answer.
 *
 * @param {Read[]} read
 * @returns {Found}
 */
export function oneCode(read) {
  const isGs1 = (/** @type {Read} */ { contentType }) => contentType === "GS1";
  return onlyOne(read, isGs1, ({ symbologyIdentifier, text }) => symbologyIdentifier + shown(text));
}

/**
 * Choose the code of a printed sheet of ours among the codes that were read.
 *
 * @param {Read[]} read
 * @returns {Found}
 */
export function oneSheet(read) {
  return onlyOne(read, ({ text }) => text.startsWith(SHEET), ({ text }) => text);
}

/**
 * Choose the code of a box, and beside it that of a printed sheet of ours: in any order, or both in
 * one picture.
 *
 * @param {Read[]} read
 * @returns {Found}
 */
export function boxAndSheet(read) {
  return { ...oneCode(read), sheet: oneSheet(read).code };
}

/**
 * @param {Read[]} read
 * @param {(one: Read) => boolean} isMeant
 * @param {(one: Read) => string} codeOf
 * @returns {One}
 */
function onlyOne(read, isMeant, codeOf) {
  const whole = read.filter(({ isValid }) => isValid);
  const codes = new Set(whole.filter(isMeant).map(codeOf));
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
