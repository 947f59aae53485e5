/**
 * The service worker: keeps one whole version of the page, so that it works without the network, and hands it out file
 * by file. A newer version is fetched beside it and waits until a window asks for it; the tickets are not touched.
 */
/** every file of the build, written here by precache.ts */
declare const __FILES__: string[];
/** names the content of the files */
declare const __VERSION__: string;

const worker = self as unknown as ServiceWorkerGlobalScope;
const PREFIX = "fitful-";
const CACHE = PREFIX + __VERSION__;

worker.addEventListener("install", (event) => event.waitUntil(fetchAll()));
worker.addEventListener("activate", (event) => event.waitUntil(takeOver()));
worker.addEventListener("message", ({ data }) => data === "take over" && void worker.skipWaiting());
worker.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method === "GET" && new URL(request.url).origin === location.origin)
    event.respondWith(answer(request));
});

/** All or nothing; past the browser's own cache, which may hold files of the version before. */
async function fetchAll(): Promise<void> {
  const cache = await caches.open(CACHE);
  await cache.addAll(__FILES__.map((file) => new Request(file, { cache: "reload" })));
}

async function takeOver(): Promise<void> {
  const old = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== CACHE);
  await Promise.all(old.map((name) => caches.delete(name)));
  await worker.clients.claim();
}

/** A server's Vary header is about what it would send; here there is one file of each name. */
async function answer(request: Request): Promise<Response> {
  const wanted = request.mode === "navigate" ? "./index.html" : request;
  const cache = await caches.open(CACHE);
  return (await cache.match(wanted, { ignoreSearch: true, ignoreVary: true })) ?? fetch(request);
}
