/** The service worker in a small stand-in for its world: what it keeps, refuses and leaves alone. */
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { beforeEach, test } from "node:test";

const ORIGIN = "https://base.example";
const SHELL = "<!doctype html><title>Lampside</title>";
const SCRIPT = "export {};";
/** @param {string} text */
const sha256 = (text) => createHash("sha256").update(text).digest("hex");

/** What the server has: address -> [type, text]. */
const FILES = /** @type {Record<string, [string, string]>} */ ({
  "/app/": ["text/html; charset=utf-8", SHELL],
  "/assets/main-1.js": ["text/javascript; charset=utf-8", SCRIPT],
});
/** What a part of the app consists of. */
const PART = /** @type {Record<string, [string, string]>} */ ({
  "/assets/theatre-1.js": ["text/javascript; charset=utf-8", "export const ROUTES = [];"],
  "/assets/theatre-1.css": ["text/css; charset=utf-8", ".a{}"],
});
/** @param {Record<string, [string, string]>} files */
const listed = (files) => Object.entries(files).map(([url, [, text]]) => ({ url, sha256: sha256(text), bytes: 1 }));

/** @type {Map<string, Map<string, Response>>} */
const kept = new Map();
/** @type {Record<string, (event: any) => void>} */
const listeners = {};
/** @type {(url: string) => Response} */
let server;
let isTakenOver = false;

class WindowClient {
  /** @param {string} url */
  constructor(url) {
    this.url = url;
  }
}

/**
 * @param {string} type
 * @param {string} text
 * @param {ResponseType} [origin]
 */
function response(type, text, origin = "basic") {
  const made = new Response(text, { headers: { "Content-Type": type } });
  Object.defineProperty(made, "type", { value: origin });
  return made;
}

/** @param {string} name */
async function open(name) {
  const cache = kept.get(name) ?? new Map();
  kept.set(name, cache);
  return {
    put: async (/** @type {string} */ url, /** @type {Response} */ found) => void cache.set(url, found),
    match: async (/** @type {string} */ url) => cache.get(url)?.clone(),
  };
}

Object.assign(globalThis, {
  __PRECACHE__: {
    version: "v2",
    entries: listed(FILES),
    parts: { theatre: listed(PART) },
  },
  WindowClient,
  caches: {
    open,
    match: async (/** @type {string} */ url, /** @type {{ cacheName: string }} */ { cacheName }) =>
      kept.get(cacheName)?.get(url)?.clone(),
    keys: async () => [...kept.keys()],
    delete: async (/** @type {string} */ name) => kept.delete(name),
  },
  fetch: async (/** @type {any} */ asked) => server(String(asked.url ?? asked)),
  self: {
    addEventListener(/** @type {string} */ type, /** @type {(event: any) => void} */ listener) {
      listeners[type] = listener;
    },
    location: new URL(`${ORIGIN}/sw.js`),
    clients: { claim: async () => undefined },
    skipWaiting: async () => {
      isTakenOver = true;
    },
  },
});
// The worker is a plain script, so it is named by address: the type checker knows modules only.
await import(new URL("../../static/sw.js", import.meta.url).href);

/**
 * Let an event happen; return what the worker waits for or answers with, or null.
 *
 * @param {string} type
 * @param {object} event
 * @returns {Promise<any>}
 */
async function happen(type, event) {
  /** @type {Promise<any> | null} */
  let promise = null;
  const take = (/** @type {Promise<any>} */ given) => {
    promise = given;
  };
  listeners[type]?.({ ...event, waitUntil: take, respondWith: take });
  return promise && (await promise);
}

/**
 * @param {string} path
 * @param {object} [more]
 */
function ask(path, more = {}) {
  const request = { url: new URL(path, ORIGIN).href, method: "GET", mode: "cors", ...more };
  return happen("fetch", { request });
}

beforeEach(() => {
  kept.clear();
  isTakenOver = false;
  server = (url) => response(...(FILES[pathOf(url)] ?? PART[pathOf(url)] ?? ["text/html", "not here"]));
});

/** @param {string} url */
const pathOf = (url) => new URL(url, ORIGIN).pathname;

/**
 * Ask from a page of the app that parts be kept; return what the worker says is kept.
 *
 * @param {string[]} names
 */
async function keepParts(names) {
  /** @type {any} */
  let said = null;
  const postMessage = (/** @type {any} */ answer) => {
    said = answer;
  };
  const port = { postMessage };
  await happen("message", { source: new WindowClient(`${ORIGIN}/app/`), data: { keep: names }, ports: [port] });
  return said;
}

test("every file of the version is kept, and each screen's address gives the shell", async () => {
  await happen("install", {});
  assert.deepEqual([...kept.keys()], ["lampside-app-v2"]);
  server = () => assert.fail("the network was asked");
  const shell = await ask("/app/anything/at/all", { mode: "navigate" });
  assert.equal(await shell.text(), SHELL);
  assert.equal(await (await ask("/assets/main-1.js")).text(), SCRIPT);
});

test("another network's page is not kept as the app, nor is any part of that version", async () => {
  server = () => response("text/html", "<h1>Welcome to the guest house</h1>");
  await assert.rejects(happen("install", {}));
  assert.deepEqual([...kept.keys()], []);
});

test("a page of the right type with other content is not kept as the shell", async () => {
  server = (url) =>
    url === "/app/" ? response("text/html", "<h1>Welcome</h1>") : response(...(FILES[url] ?? ["", ""]));
  await assert.rejects(happen("install", {}), /not the file of this version/);
  assert.deepEqual([...kept.keys()], []);
});

test("an answer from another origin is not kept", async () => {
  server = (url) => response(...(FILES[url] ?? ["", ""]), "cors");
  await assert.rejects(happen("install", {}), /did not come from our server/);
});

test("records, sign-in, the desk, the first page and the worker itself are left to the network", async () => {
  await happen("install", {});
  for (const path of ["/sync/pull?site=a", "/auth/token", "/sw.js", "/other"]) {
    assert.equal(await ask(path), null, path);
  }
  assert.equal(await ask("/desk/", { mode: "navigate" }), null);
  assert.equal(await ask("/", { mode: "navigate" }), null);
  assert.equal(await ask("/assets/main-1.js", { method: "POST" }), null);
  assert.equal(await ask("https://elsewhere.example/assets/main-1.js"), null);
});

test("a part is not kept before somebody asks, and then it is, without the network", async () => {
  await happen("install", {});
  assert.deepEqual(await keepParts([]), { theatre: false });
  assert.deepEqual([...kept.keys()], ["lampside-app-v2"]);
  assert.deepEqual(await keepParts(["theatre", "something"]), { theatre: true });
  server = () => assert.fail("the network was asked");
  assert.equal(await (await ask("/assets/theatre-1.js")).text(), "export const ROUTES = [];");
  assert.deepEqual(await keepParts(["theatre"]), { theatre: true });
});

test("a part with one altered file is not kept, and no file of it is", async () => {
  await happen("install", {});
  server = (url) => (url.endsWith(".css") ? response("text/css", ".b{}") : response(...(PART[pathOf(url)] ?? ["", ""])));
  assert.deepEqual(await keepParts(["theatre"]), { theatre: false });
  assert.deepEqual([...kept.keys()], ["lampside-app-v2"]);
});

test("a part that has lost a file is not said to be kept", async () => {
  await happen("install", {});
  await keepParts(["theatre"]);
  kept.get("lampside-app-v2-theatre")?.delete("/assets/theatre-1.css");
  assert.deepEqual(await keepParts([]), { theatre: false });
});

test("a part of another release never runs in place of the one that the page names", async () => {
  await happen("install", {});
  server = () => response("text/javascript", "export const ROUTES = ['of another release'];");
  await assert.rejects(ask("/assets/theatre-1.js"), /not the file of this version/);
  assert.equal(await ask("/assets/theatre-0.js"), null);
});

test("a new version brings the parts that were kept, or does not come", async () => {
  kept.set("lampside-app-v1", new Map());
  kept.set("lampside-app-v1-theatre", new Map());
  server = (url) => response(...(FILES[pathOf(url)] ?? ["text/html", "not here"]));
  await assert.rejects(happen("install", {}));
  assert.deepEqual([...kept.keys()], ["lampside-app-v1", "lampside-app-v1-theatre"]);
  server = (url) => response(...(FILES[pathOf(url)] ?? PART[pathOf(url)] ?? ["", ""]));
  await happen("install", {});
  await happen("activate", {});
  assert.deepEqual([...kept.keys()].sort(), ["lampside-app-v2", "lampside-app-v2-theatre"]);
  assert.deepEqual(await keepParts([]), { theatre: true });
});

test("taking over removes the app's older versions and nobody else's cache", async () => {
  kept.set("lampside-app-v1", new Map());
  kept.set("somebody-else", new Map());
  await happen("install", {});
  await happen("activate", {});
  assert.deepEqual([...kept.keys()].sort(), ["lampside-app-v2", "somebody-else"]);
});

test("only a page of this origin can ask the new version to take over", async () => {
  await happen("message", { source: new WindowClient("https://elsewhere.example/"), data: "take-over" });
  const port = { postMessage: () => assert.fail("a stranger was answered") };
  const keep = { source: new WindowClient("https://elsewhere.example/"), data: { keep: ["theatre"] }, ports: [port] };
  assert.equal(await happen("message", keep), null);
  await happen("message", { source: null, data: "take-over" });
  await happen("message", { source: new WindowClient(`${ORIGIN}/app/`), data: "something", ports: [] });
  assert.equal(isTakenOver, false);
  await happen("message", { source: new WindowClient(`${ORIGIN}/app/`), data: "take-over" });
  assert.equal(isTakenOver, true);
});

test("a kept file that the phone has lost is asked for again", async () => {
  server = () => response("text/html", "not here");
  assert.equal(await (await ask("/assets/main-1.js")).text(), "not here");
});
