/* Keeps the files of the crew's pages and the page of numbers, for when the network is gone. It never keeps a screen of
   a bike: a rider's numbers are on it. The log-out clears everything (Clear-Site-Data), and this worker with it.
   KEEPS is written before this text by the server: version, files, numbers, scope. */
"use strict";
const FILES = "bike-files-" + KEEPS.version;
const NUMBERS = "bike-numbers-" + KEEPS.version;

self.addEventListener("install", function (event) {
  event.waitUntil(
    caches.open(FILES).then(function (cache) { return cache.addAll(KEEPS.files); }).then(function () { return self.skipWaiting(); })
  );
});

self.addEventListener("activate", function (event) {
  event.waitUntil(
    caches.keys().then(function (names) {
      return Promise.all(names.filter(function (name) {
        return name.startsWith("bike-") && name !== FILES && name !== NUMBERS;
      }).map(function (name) { return caches.delete(name); }));
    }).then(function () { return self.clients.claim(); })
  );
});

function keepNumbers(request) {
  return fetch(request, { cache: "no-store" }).then(function (answer) {
    if (answer.redirected || answer.type === "opaqueredirect" || answer.status === 401 || answer.status === 403) {
      return caches.delete(NUMBERS).then(function () { return answer; });
    }
    if (!answer.ok) { return answer; }
    const copy = answer.clone();
    return caches.open(NUMBERS).then(function (cache) { return cache.put(KEEPS.numbers, copy); })
      .then(function () { return answer; });
  });
}

function keptNumbers() {
  return caches.match(KEEPS.numbers).then(function (kept) { return kept || Response.error(); });
}

self.addEventListener("fetch", function (event) {
  const asked = event.request, address = new URL(asked.url);
  if (asked.method !== "GET" || address.origin !== self.location.origin) { return; }
  if (KEEPS.files.indexOf(address.pathname) >= 0) {
    event.respondWith(caches.match(address.pathname).then(function (kept) { return kept || fetch(asked); }));
  } else if (address.pathname === KEEPS.numbers && address.search === "") {
    event.respondWith(keepNumbers(asked).catch(keptNumbers));
  } else if (asked.mode === "navigate") {
    event.respondWith(fetch(asked).catch(keptNumbers));
  }
});
