/**
 * The code of the lens that comes out: scanned, read by the core, and its serial number put into the
 * field; whoever records it compares it with the card.
 *
 * @import { Model } from "./surgery.js"
 */
import { html } from "lit-html";
import { CoreFailed } from "../core/runtime.js";
import { Scanning } from "../scan/scanning.js";
import { today } from "../ui/moments.js";
import { askAbout } from "./casefile.js";

const FILLED = "Scanned. Compare it with the card or the box before you go on.";
const NO_SERIAL = "This code gives no serial number. Type it as printed.";

/**
 * Return how a scan begins and ends, and what it looks like.
 *
 * @param {Model} model
 * @param {{ type: (field: string, text: string) => void, redraw: () => void }} acts
 */
export function explantScan(model, { type, redraw }) {
  const say = (/** @type {string} */ said) => {
    model.scanSaid = said;
    redraw();
  };
  const scanning = new Scanning({
    onCode: (code) => void fill(code),
    onSay: say,
    onLook(isScanning) {
      model.isScanning = isScanning;
      redraw();
    },
  });
  /** @type {any} the lens that comes out */
  let out = null;
  const fill = async (/** @type {string} */ code) => {
    const { serial, why } = await serialIn(model, code, out);
    if (serial !== null) type("out_serial", serial);
    say(why);
  };
  return {
    end: () => scanning.end(""),
    /** @param {any} lens the surgery of the lens that comes out */
    view(lens) {
      out = lens.body.lens;
      return html`<div class="stack tight">
        <button type="button" class="btn full" @click=${() =>
          void scanning.press(/** @type {HTMLVideoElement} */ (document.getElementById("scan-view")))}>${model.isScanning
            ? "Stop the camera" : "Scan its code"}</button>
        <video id="scan-view" class="scan-view" muted playsinline ?hidden=${!model.isScanning}></video>
        <p class="t-small" role="status">${model.scanSaid}</p>
        <details class="more-findings"><summary>A picture of the code</summary>
          <label for="scan-picture">A picture of the code</label>
          <input id="scan-picture" class="scan-picture" type="file" accept="image/*" @change=${(/** @type {any} */ event) =>
            void scanning.choose(event.target.files?.[0])} /></details>
      </div>`;
    },
  };
}

/**
 * @param {Model} model
 * @param {string} code
 * @param {any} lens
 * @returns {Promise<{ serial: string | null, why: string }>}
 */
async function serialIn({ casefile }, code, lens) {
  if (!casefile) return { serial: null, why: NO_SERIAL };
  try {
    const box = await askAbout(casefile, { do: "box", lens, code, first: null, second: null, days: [today()] });
    return { serial: box.code.serial, why: box.code.serial === null ? NO_SERIAL : FILLED };
  } catch (error) {
    if (!(error instanceof CoreFailed)) throw error;
    return { serial: null, why: `${error.message} Type it as printed.` };
  }
}
