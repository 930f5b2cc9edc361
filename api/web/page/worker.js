/** Keeps the page for use without a network. Answers of the service are never kept. */

const STORE = "kitwright-$edition";
const KEPT = $kept;
const PAGE = "/";

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(STORE).then((store) => store.addAll(KEPT)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(forgetOthers().then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== self.location.origin) return;
  if (pathname === PAGE) event.respondWith(freshOrKept(request));
  else if (KEPT.includes(pathname)) event.respondWith(keptOrFresh(request));
});

async function forgetOthers() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith("kitwright-") && name !== STORE).map((name) => caches.delete(name)));
}

async function freshOrKept(request) {
  const store = await caches.open(STORE);
  try {
    const fresh = await fetch(request);
    if (fresh.ok) await store.put(PAGE, fresh.clone());
    return fresh;
  } catch (error) {
    const kept = await store.match(PAGE, { ignoreVary: true }); // a reload may name languages, what was kept names none
    if (kept) return kept;
    throw error;
  }
}

async function keptOrFresh(request) {
  const store = await caches.open(STORE);
  return (await store.match(request, { ignoreVary: true })) ?? fetch(request);
}
