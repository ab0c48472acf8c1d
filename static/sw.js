/**
 * The service worker: keeps the app on the phone, whole and of one version, and nothing else.
 *
 * The version is the hash of the list of files. A new version is fetched completely and checked
 * byte by byte before it exists; it then waits until the page says that nothing is being typed.
 * Records, sign-in and the desk's pages never pass through here.
 */
const PREFIX = "lampside-app-";
const CACHE = PREFIX + __PRECACHE__.version;
const SHELL = "/app/";
const KEPT = new Set(__PRECACHE__.entries.map(({ url }) => url));

/** What each kind of file must call itself; a sign-in page of some network calls itself html. */
const TYPES = /** @type {const} */ ([
  [/\/$/, "text/html"],
  [/\.js$/, "text/javascript"],
  [/\.css$/, "text/css"],
  [/\.wasm$/, "application/wasm"],
  [/\.json$/, "application/json"],
  [/\.svg$/, "image/svg+xml"],
  [/\.png$/, "image/png"],
  [/\.webmanifest$/, "application/manifest+json"],
]);

const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));

worker.addEventListener("install", (event) => event.waitUntil(install()));
worker.addEventListener("activate", (event) => event.waitUntil(activate()));
worker.addEventListener("fetch", (event) => {
  const address = keptAddress(event.request);
  if (address) event.respondWith(fromPhone(address, event.request));
});
worker.addEventListener("message", (event) => {
  const asker = event.source;
  const isOwnPage = asker instanceof WindowClient && isOwnOrigin(asker.url);
  if (isOwnPage && event.data === "take-over") event.waitUntil(worker.skipWaiting());
});

async function install() {
  // Everything is fetched and checked before anything is kept: one bad file, no new version.
  const fetched = await Promise.all(__PRECACHE__.entries.map(fetchChecked));
  const cache = await caches.open(CACHE);
  try {
    await Promise.all(fetched.map(({ url, response }) => cache.put(url, response)));
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
}

/** @param {{ url: string, sha256: string }} entry */
async function fetchChecked({ url, sha256 }) {
  const response = await fetch(url, { cache: "reload", redirect: "error" });
  const type = response.headers.get("Content-Type") ?? "";
  if (!response.ok || response.type !== "basic" || !type.startsWith(typeOf(url))) {
    throw new TypeError(`${url} did not come from our server`);
  }
  const found = await hexSha256(await response.clone().arrayBuffer());
  if (found !== sha256) throw new TypeError(`${url} is not the file of this version`);
  return { url, response };
}

async function activate() {
  for (const name of await caches.keys()) {
    if (name.startsWith(PREFIX) && name !== CACHE) await caches.delete(name);
  }
  await worker.clients.claim();
}

/**
 * @param {Request} request
 * @returns {string | null} the kept file that answers the request
 */
function keptAddress(request) {
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== worker.location.origin) return null;
  if (request.mode === "navigate") return pathname.startsWith(SHELL) ? SHELL : null;
  return KEPT.has(pathname) ? pathname : null;
}

/**
 * @param {string} address
 * @param {Request} request
 */
async function fromPhone(address, request) {
  const cache = await caches.open(CACHE);
  const kept = await cache.match(address, { ignoreVary: true });
  return kept ?? fetch(request);
}

/** @param {string} url */
function typeOf(url) {
  const found = TYPES.find(([ending]) => ending.test(url));
  if (!found) throw new TypeError(`${url} is of a type this app does not keep`);
  return found[1];
}

/** @param {string} url */
function isOwnOrigin(url) {
  return new URL(url).origin === worker.location.origin;
}

/** @param {ArrayBuffer} bytes */
async function hexSha256(bytes) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return [...digest].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
