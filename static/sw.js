/**
 * The service worker: keeps the app on the phone, whole and of one version, and nothing else.
 *
 * The version is the hash of the list of files. A new version is fetched completely and checked
 * byte by byte before it exists; it then waits until the page says that nothing is being typed.
 * Parts of the app that only some use are kept beside it when a page asks for them; a new version
 * brings its own form of each part that was kept. Records, sign-in and the desk's pages never pass
 * through here.
 */
const PREFIX = "lampside-app-";
const CACHE = PREFIX + __PRECACHE__.version;
const SHELL = "/app/";
const PARTS = new Map(Object.entries(__PRECACHE__.parts));
const OF_PARTS = new Map([...PARTS.values()].flat().map((entry) => [entry.url, entry]));
const KEPT = new Set([...__PRECACHE__.entries.map(({ url }) => url), ...OF_PARTS.keys()]);

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
  if (!(asker instanceof WindowClient && isOwnOrigin(asker.url))) return;
  if (event.data === "take-over") event.waitUntil(worker.skipWaiting());
  else if (event.ports[0]) event.waitUntil(keepAndTell(event.data.keep, event.ports[0]));
});

async function install() {
  const kept = await partsOfAnyVersion();
  const files = new Map([[CACHE, __PRECACHE__.entries]]);
  for (const [name, entries] of PARTS) if (kept.has(name)) files.set(cacheOf(name), entries);
  await keepAll(files);
}

/**
 * Everything is fetched and checked before anything is kept: one bad file, nothing of it.
 *
 * @param {Map<string, readonly KeptFile[]>} files name of a cache -> what it is to hold
 */
async function keepAll(files) {
  const fetched = await Promise.all(
    [...files].map(async ([name, entries]) => ({ name, all: await Promise.all(entries.map(fetchChecked)) })),
  );
  try {
    for (const { name, all } of fetched) {
      const cache = await caches.open(name);
      await Promise.all(all.map(({ url, response }) => cache.put(url, response)));
    }
  } catch (error) {
    for (const name of files.keys()) await caches.delete(name);
    throw error;
  }
}

/**
 * Keep parts of the app that are not kept yet, then say of each part whether it is.
 *
 * @param {string[]} names
 * @param {MessagePort} asker
 */
async function keepAndTell(names, asker) {
  const isKept = /** @type {Record<string, boolean>} */ ({});
  for (const [name, entries] of PARTS) {
    isKept[name] = await isWhole(name, entries);
    if (isKept[name] || !names.includes(name)) continue;
    // Without the network it is simply not here; the page says so.
    isKept[name] = await keepAll(new Map([[cacheOf(name), entries]])).then(() => true, () => false);
  }
  asker.postMessage(isKept);
}

/**
 * @param {string} name
 * @param {readonly KeptFile[]} entries
 */
async function isWhole(name, entries) {
  const found = await Promise.all(entries.map(({ url }) => caches.match(url, { cacheName: cacheOf(name) })));
  return found.every(Boolean);
}

async function partsOfAnyVersion() {
  const names = await caches.keys();
  return new Set(names.filter((name) => name.startsWith(PREFIX)).map((name) => name.slice(PREFIX.length).split("-")[1]));
}

/** @param {string} part */
function cacheOf(part) {
  return `${CACHE}-${part}`;
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
    const isOurs = name === CACHE || name.startsWith(`${CACHE}-`);
    if (name.startsWith(PREFIX) && !isOurs) await caches.delete(name);
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
  for (const cacheName of [CACHE, ...[...PARTS.keys()].map(cacheOf)]) {
    const kept = await caches.match(address, { cacheName, ignoreVary: true });
    if (kept) return kept;
  }
  // A part that is not kept is checked like one that is: no other release's runs in its place.
  const part = OF_PARTS.get(address);
  return part ? (await fetchChecked(part)).response : fetch(request);
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
