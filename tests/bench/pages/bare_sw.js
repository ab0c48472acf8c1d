// The least that serves a page from the phone: keep it once, give it from then on.
const CACHE = "bare-page";

addEventListener("install", (event) => {
  event.waitUntil(caches.open(CACHE).then((cache) => cache.add("/bare.html")));
});
addEventListener("fetch", (event) => {
  event.respondWith(
    caches.open(CACHE).then(async (cache) => (await cache.match(event.request)) ?? fetch(event.request)),
  );
});
