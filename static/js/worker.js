// The service worker: keeps the shell and the pages of today's and tomorrow's sessions, for a yard
// without a network. It never touches the queue, which is the pages' own, and keeps nothing else.
// The server puts `const SHELL = { version, files }` before this file.
/* global SHELL */
"use strict";

const KEPT_SHELL = `yardmark-shell-${SHELL.version}`;
const KEPT_PAGES = "yardmark-pages";
const WAIT_MS = 4000;

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const cache = await caches.open(KEPT_SHELL);
    await cache.addAll(SHELL.files.map((file) => new Request(file, { cache: "no-cache" })));
    await self.skipWaiting();
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("yardmark-shell-") && name !== KEPT_SHELL) await caches.delete(name);
    }
    await self.clients.claim();
    await keepPages();
  })());
});

const isMockTest = (path) => /^\/yard\/mock-tests\/[0-9a-f-]{36}$/.test(path);
const isPage = (path) => path === "/yard" || path === "/yard/queue" || /^\/yard\/sessions\/\d+$/.test(path) || isMockTest(path);

// Whatever stands after the question mark only chooses a rider, which the page does itself.
async function keep(path, answer) {
  if (!answer.ok || answer.redirected || !answer.headers.get("Content-Type")?.startsWith("text/html")) return;
  await (await caches.open(KEPT_PAGES)).put(path, answer);
}

async function keepPages() {
  try {
    const answer = await fetch("/yard/keep", { headers: { Accept: "application/json" }, redirect: "manual" });
    if (!answer.ok) return;
    const { pages } = await answer.json();
    const cache = await caches.open(KEPT_PAGES);
    for (const request of await cache.keys()) {
      if (!pages.includes(new URL(request.url).pathname)) await cache.delete(request);
    }
    for (const path of pages) await keep(path, await fetch(path, { redirect: "manual" }));
  } catch {
    // No network: what is kept stays.
  }
}

// The network first; when it fails or takes too long, the page that was kept.
async function page(request, path) {
  const cache = await caches.open(KEPT_PAGES);
  const kept = await cache.match(path);
  const asked = fetch(request).then(async (answer) => {
    if (kept || path === "/yard" || path === "/yard/queue" || isMockTest(path)) await keep(path, answer.clone());
    return answer;
  });
  if (!kept) return asked;
  const late = new Promise((resolve) => { setTimeout(() => resolve(kept), WAIT_MS); });
  return Promise.race([asked.catch(() => kept), late]);
}

async function file(request, url) {
  if (url.searchParams.has("v")) {
    const kept = await caches.match(request);
    if (kept) return kept;
  }
  try {
    return await fetch(request);
  } catch (error) {
    // A page that was kept by an earlier version asks for that version's files.
    const kept = await caches.match(request, { ignoreSearch: true });
    if (kept) return kept;
    throw error;
  }
}

self.addEventListener("message", (event) => {
  if (event.data !== "keep pages") return;
  // A page that was on its way while the worker took over belongs to nobody until it is claimed.
  event.waitUntil(self.clients.claim().then(keepPages));
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== location.origin) return;
  if (event.request.method !== "GET") {
    // Another person comes: nobody else's pages stay. The rides in the queue do.
    if (url.pathname === "/sign-out" || url.pathname === "/tablet") event.waitUntil(caches.delete(KEPT_PAGES));
    return;
  }
  if (event.request.mode === "navigate") {
    if (isPage(url.pathname)) event.respondWith(page(event.request, url.pathname));
  } else if (url.pathname.startsWith("/static/")) {
    event.respondWith(file(event.request, url));
  }
});
