// The page without network: one cache for each version of it, taken whole or not at all.
// `self.ROUND` stands before this text: version, shell and the addresses of all files.

const PREFIX = "round-files-";
const CACHE = PREFIX + self.ROUND.version;

self.addEventListener("install", (event) => {
  event.waitUntil(takeAll().then(() => self.skipWaiting()));
});

async function takeAll() {
  const cache = await caches.open(CACHE);
  const addresses = [self.ROUND.shell, ...self.ROUND.assets];
  await Promise.all(addresses.map(async (address) => {
    const answer = await fetch(address, { cache: "no-cache", credentials: "same-origin" });
    // A page of signing in under our address would lock everybody out offline.
    if (!answer.ok || answer.redirected) throw new Error(`${address}: ${answer.status}`);
    await cache.put(address, answer);
  }));
}

self.addEventListener("activate", (event) => {
  event.waitUntil(dropOthers().then(() => self.clients.claim()));
});

async function dropOthers() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(PREFIX) && name !== CACHE);
  await Promise.all(old.map((name) => caches.delete(name)));
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== self.location.origin) return;
  if (request.mode === "navigate") {
    if (/^\/round\/(fan\/\d+\/)?$/.test(pathname)) event.respondWith(kept(self.ROUND.shell, request));
  } else if (self.ROUND.assets.includes(pathname)) {
    event.respondWith(kept(pathname, request));
  }
});

async function kept(address, request) {
  const cache = await caches.open(CACHE);
  return (await cache.match(address)) ?? fetch(request);
}
