// Keeps the page for a yard without signal. VERSION and FILES are written above this when the page is built.
//
// What was kept is served first, always: a version is whole or not at all, and a weak signal delays nothing. A new
// version is fetched behind the scenes and waits until the user takes it or every tab is closed.

// One server may carry several copies of the page: each keeps its own.
const OURS = `keelstead ${self.registration.scope} `;
const CACHE = OURS + VERSION;

self.addEventListener("install", (event) => {
  // Most files carry their content's hash in the name, so what the browser has just fetched will do; the others are
  // asked for anew.
  const hashed = (name) => /\b[0-9a-f]{12,16}[-._]/.test(name);
  const request = (name) => new Request(name, { cache: hashed(name) ? "force-cache" : "no-cache" });
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(FILES.map(request))));
});

self.addEventListener("activate", (event) => {
  // Only this copy's.
  const old = (name) => name.startsWith(OURS) && name !== CACHE;
  event.waitUntil(
    caches.keys()
      .then((names) => Promise.all(names.filter(old).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || !request.url.startsWith(self.registration.scope)) return;
  // The page itself takes questions (?job=…); its answer is the same file.
  const name = request.mode === "navigate" ? new URL("index.html", self.registration.scope).href : request.url;
  event.respondWith(
    caches.open(CACHE).then((cache) => cache.match(name, { ignoreSearch: true })).then((kept) => kept ?? fetch(request)),
  );
});
