// Keeps the page itself, so that it opens without signal; nothing else passes here.
// What was typed is sent by the page: an outbox in a worker would not work everywhere.
const VERSION = "{{ version }}";
const SHELL = [{% for address in shell %}"{{ address|escapejs }}"{% if not forloop.last %}, {% endif %}{% endfor %}];
const PREFIX = "field-shell-";

self.addEventListener("install", (event) => {
  // All of a version or none of it: files of two versions do not fit each other.
  const fresh = SHELL.map((address) => new Request(address, { cache: "reload" }));
  event.waitUntil(
    caches.open(PREFIX + VERSION).then((cache) => cache.addAll(fresh)).then(() => self.skipWaiting()),
  );
});

self.addEventListener("activate", (event) => {
  const old = (name) => name.startsWith(PREFIX) && name !== PREFIX + VERSION;
  event.waitUntil(
    caches.keys()
      .then((names) => Promise.all(names.filter(old).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("fetch", (event) => {
  const { pathname, origin } = new URL(event.request.url);
  if (event.request.method !== "GET" || origin !== self.location.origin || !SHELL.includes(pathname)) return;
  event.respondWith(
    caches.open(PREFIX + VERSION)
      .then((cache) => cache.match(pathname))
      .then((found) => found || fetch(event.request)),
  );
});
