// Open the marking page again while there is no line. Only what is the same for
// everybody is kept: the page without points and names, its script and its look.
const KEPT = "voicecheck-observe-3";
const SHELL = "/observe/shell";
const FILES = [
  SHELL, "/static/mark_page.js", "/static/mark_event.js", "/static/mark_keep.js",
  "/static/mark_send.js", "/static/mark_words.js",
  "/static/look.css", "/static/mark.css", "/static/mark.svg",
];
const PATIENCE_MS = 4000;

async function fetchAll() {
  const answers = await Promise.all(FILES.map((file) => fetch(file, { cache: "no-cache", redirect: "error" })));
  if (!answers.every((answer) => answer.ok)) return;
  const kept = await caches.open(KEPT);
  await Promise.all(FILES.map((file, at) => kept.put(file, answers[at])));
}

async function lineThenKept(request, file) {
  try {
    return await fetch(request, { signal: AbortSignal.timeout(PATIENCE_MS) });
  } catch (trouble) {
    const kept = await (await caches.open(KEPT)).match(file);
    if (kept) return kept;
    throw trouble;
  }
}

addEventListener("install", (event) => event.waitUntil(fetchAll().then(() => skipWaiting())));
addEventListener("activate", (event) => event.waitUntil((async () => {
  for (const name of await caches.keys()) if (name !== KEPT) await caches.delete(name);
  await clients.claim();
})()));
addEventListener("message", (event) => event.waitUntil(fetchAll().catch(() => undefined)));
addEventListener("fetch", (event) => {
  const { request } = event;
  const { pathname, origin } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  if (request.mode === "navigate" && /^\/observe\/of\/[^/]+\/[0-9a-f-]{36}\/mark$/.test(pathname)) {
    event.respondWith(lineThenKept(request, SHELL));
  } else if (pathname.startsWith("/static/") && FILES.includes(pathname)) {
    event.respondWith(lineThenKept(request, pathname));
  }
});
