/**
 * The pages of a part of the app: opened like any other, or a word on why they are not here.
 *
 * @import { Place, Step } from "../main.js"
 */
import { html } from "lit-html";
import { openPart, PARTS } from "../parts.js";
import { pageHead } from "../ui/page.js";
import { waitingLine } from "../ui/waiting.js";
import { openPage, strips, tabs } from "./frame.js";

/**
 * Return the step that opens the pages of a part.
 *
 * @param {string} name
 * @returns {Step}
 */
export function partStep(name) {
  return { start: (place) => start(name, place) };
}

/**
 * Show that the part is coming and return at once: what comes slowly must hold up no other page.
 *
 * @param {string} name
 * @param {Place} place
 */
function start(name, place) {
  let isOpen = true;
  let isMissing = false;
  const look = async () => {
    isMissing = false;
    page.redraw();
    try {
      const { ROUTES } = await openPart(name);
      await give(ROUTES);
    } catch {
      isMissing = true;
      page.redraw();
    }
  };
  /** @param {import("../parts.js").Part["ROUTES"]} routes */
  const give = async (routes) => {
    for (const [pattern, step] of routes) {
      const found = pattern.exec(location.hash);
      if (!found || !isOpen) continue;
      page.stop();
      const stopStep = await step.start({ ...place, params: found.slice(1) });
      if (isOpen) stop = stopStep;
      else stopStep();
      place.root.querySelector("h1")?.focus({ preventScroll: true });
      return;
    }
  };
  const page = openPage(place.root, () => view(name, place, isMissing, () => void look()));
  let stop = page.stop;
  void look();
  return () => {
    isOpen = false;
    stop();
  };
}

/**
 * @param {string} name
 * @param {Place} place
 * @param {boolean} isMissing
 * @param {() => void} again
 */
function view(name, { identity }, isMissing, again) {
  const title = PARTS[name]?.title ?? "";
  return html`${pageHead({ title })} ${strips()}
    <main>${isMissing ? missing(title, again) : waitingLine("Opening these pages.")}</main>
    ${tabs("", identity)}`;
}

/**
 * @param {string} title
 * @param {() => void} again
 */
function missing(title, again) {
  return html`<p class="notice" role="alert"><span class="strong">The pages “${title}” are not on this device.</span>
      They are fetched once and then work without the network. Connect to the network and try again.
      If that does not help, close the app and open it again.</p>
    <button type="button" class="btn main full" @click=${again}>Try again</button>`;
}
