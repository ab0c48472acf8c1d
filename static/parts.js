/**
 * The parts of the app that only some use: fetched whole, kept for use without the network, opened.
 *
 * A part is `parts/<name>.js`, which exports its `ROUTES`, and `parts/<name>.css`. The page and its
 * parts name each other by hashes, so that a part of another release is never run.
 *
 * @import { Step } from "./main.js"
 *
 * @typedef {{ ROUTES: [RegExp, Step][] }} Part
 * @typedef {{ title: string, roles: string[], load: () => Promise<Part> }} About
 */
import { currentIdentity, onIdentity } from "./store/identity.js";

/** @type {Record<string, About>} */
export const PARTS = {
  theatre: {
    title: "Theatre and surgery",
    roles: ["theatre", "surgeon", "desk"],
    load: () => import("./parts/theatre.js"),
  },
  exchange: {
    title: "Exchange of a lens",
    roles: ["surgeon", "optometrist", "desk"],
    load: () => import("./parts/exchange.js"),
  },
};

/** How long the service worker may take to fetch a part over a slow link. */
const PATIENCE_MS = 120_000;

/** @type {Record<string, boolean>} */
let kept = {};
/** @type {Set<() => void>} */
const listeners = new Set();

/**
 * Return whether a part is kept on this device, as far as the service worker has said.
 *
 * @param {string} name
 */
export const isPartKept = (name) => kept[name] === true;

/**
 * Call `listener` when that changes; return how to stop.
 *
 * @param {() => void} listener
 * @returns {() => void}
 */
export function onParts(listener) {
  listeners.add(listener);
  return () => void listeners.delete(listener);
}

/** Keep the parts that whoever works here uses, now and whenever that is somebody else. */
export function keepPartsOfWhoWorks() {
  const keep = async () => {
    const roles = new Set((await currentIdentity())?.user.roles.map(({ role }) => role));
    const used = Object.keys(PARTS).filter((name) => PARTS[name]?.roles.some((role) => roles.has(role)));
    await keepParts(used);
  };
  onIdentity(() => void keep());
  void keep();
}

/**
 * Load a part, and keep it where the browser can; rejects where it is not here and does not come.
 *
 * @param {string} name
 * @returns {Promise<Part>}
 */
export async function openPart(name) {
  // A page that no service worker watches yet gets it from the network, like its own first files.
  const isWatched = Boolean(globalThis.navigator?.serviceWorker?.controller);
  if (isWatched && !isPartKept(name)) await keepParts([name]);
  if (isWatched && !isPartKept(name)) throw new Error(`${name} is not on this device`);
  const [part] = await Promise.all([PARTS[name]?.load(), styled(__BUILD__.partStyles[name] ?? "")]);
  return /** @type {Part} */ (part);
}

/** @param {string[]} names */
async function keepParts(names) {
  const worker = (await globalThis.navigator?.serviceWorker?.ready)?.active;
  if (!worker) return;
  const { port1, port2 } = new MessageChannel();
  /** @type {Promise<Record<string, boolean>>} */
  const told = new Promise((resolve) => {
    port1.onmessage = ({ data }) => resolve(data);
    setTimeout(() => resolve(kept), PATIENCE_MS);
  });
  worker.postMessage({ keep: names }, [port2]);
  kept = await told;
  port1.close();
  for (const listener of listeners) listener();
}

/**
 * Put a style in place, once; a page must not stand without it.
 *
 * @param {string} address
 */
function styled(address) {
  if (document.querySelector(`link[href="${address}"]`)) return Promise.resolve();
  const link = Object.assign(document.createElement("link"), { rel: "stylesheet", href: address });
  return new Promise((resolve, reject) => {
    link.onload = () => resolve(undefined);
    link.onerror = () => {
      link.remove();
      reject(new Error("the style of this part did not come"));
    };
    document.head.append(link);
  });
}
