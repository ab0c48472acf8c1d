/**
 * One page while it is open: it redraws when the network, the calculation or the store change.
 *
 * @import { TemplateResult } from "lit-html"
 * @import { Identity } from "../store/identity.js"
 */
import { html, nothing, render } from "lit-html";
import { coreStatus, onCoreStatus } from "../core/runtime.js";
import { isOfTheatre, isSurgeon } from "../store/identity.js";
import { onChange } from "../store/journal.js";
import { onSyncStatus, syncStatus } from "../sync/client.js";
import { networkStrip } from "../ui/network_strip.js";
import { tabBar } from "../ui/page.js";
import { keyStrip } from "./key_words.js";
import { urgentStrip } from "./urgent_strip.js";
import { onAlarms } from "./urgent_watch.js";
import { onUpdate, takeUpdate, updateStatus } from "../update.js";

/**
 * Draw a page now and again whenever what surrounds it changes.
 *
 * @param {HTMLElement} root
 * @param {() => TemplateResult} view
 * @returns {{ redraw: () => void, stop: () => void }}
 */
export function openPage(root, view) {
  // Work that ends after the page was left must not draw over the next one.
  let isOpen = true;
  const redraw = () => {
    if (isOpen) render(view(), root);
  };
  const close = () => {
    isOpen = false;
  };
  const stops = [onSyncStatus(redraw), onCoreStatus(redraw), onUpdate(redraw), onAlarms(redraw)];
  redraw();
  return { redraw, stop: together([close, ...stops]) };
}

/**
 * Draw a page about one person that is worked out from their records: now, and again whenever these
 * or what all plans rest on change.
 *
 * @param {HTMLElement} root
 * @param {string} person
 * @param {() => TemplateResult} view
 * @param {() => Promise<void>} workOut
 * @returns {{ redraw: () => void, stop: () => void }}
 */
export function openPageOf(root, person, view, workOut) {
  const { redraw, stop } = openPage(root, view);
  const refresh = () => void workOut().then(redraw);
  const stopStore = onChange(({ persons, why }) => {
    if (persons.includes(person) || why === "page") refresh();
  });
  refresh();
  return { redraw, stop: together([stop, stopStore]) };
}

/**
 * Return one function that stops several things.
 *
 * @param {(() => void)[]} stops
 * @returns {() => void}
 */
export function together(stops) {
  return () => {
    for (const stop of stops) stop();
  };
}

/**
 * Return a function that does `work` soon, and once more if it was asked for meanwhile; a hundred
 * changes in a row are read once or twice, not a hundred times.
 *
 * @param {() => Promise<void>} work
 * @returns {() => void}
 */
export function inOneGo(work) {
  let isAsked = false;
  let isWorking = false;
  const go = async () => {
    isAsked = true;
    if (isWorking) return;
    isWorking = true;
    while (isAsked) {
      isAsked = false;
      await work();
    }
    isWorking = false;
  };
  return () => void go();
}

/**
 * Return what is urgent, the strip about the network, and one about a new version where there is one.
 *
 * @returns {TemplateResult}
 */
export function strips() {
  return html`${urgentStrip()}${networkStrip(syncStatus())}${keyStrip(syncStatus().standing)}${updateStrip()}`;
}

function updateStrip() {
  const { ready, why } = updateStatus();
  if (!ready) return nothing;
  return html`<div class="status-strip" role="status">
    <b>A new version is ready.</b><span>${why}</span>
    <button type="button" class="link" @click=${() => void takeUpdate()}>Start it</button>
  </div>`;
}

/**
 * Return the tabs of the person who works here.
 *
 * @param {string} current
 * @param {Identity} identity
 * @returns {TemplateResult}
 */
export function tabs(current, identity) {
  const { waiting, refused } = syncStatus();
  const held = waiting + refused;
  return tabBar(current, [
    ...(isSurgeon(identity)
      ? [/** @type {const} */ ({ href: "#/queue", label: "Queue", icon: "queue" })]
      : []),
    ...(isSurgeon(identity) || isOfTheatre(identity)
      ? [/** @type {const} */ ({ href: "#/theatre", label: "Theatre", icon: "theatre" })]
      : []),
    { href: "#/people", label: "People", icon: "people" },
    { href: "#/outbox", label: held ? `Outbox, ${held}` : "Outbox", icon: "outbox" },
    { href: "#/me", label: "Me", icon: "me" },
  ]);
}

/**
 * Return what a site is called.
 *
 * @param {Identity} identity
 * @param {string | null} site
 * @returns {string}
 */
export function siteTitle(identity, site) {
  return identity.sites.find(({ id }) => id === site)?.title ?? site ?? "";
}

/** @returns {string} */
export const coreSha256 = () => coreStatus().sha256;

/**
 * Go to another page of the app.
 *
 * @param {string} address
 */
export function go(address) {
  location.hash = address;
}
