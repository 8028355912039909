// The class host's service worker: pages that were open once, and what belongs to
// them, open again while the host is away. The network always comes first, so
// that nobody reads an old procedure while the new one can be had.
"use strict";

var shelf = "matchmark-pages";
var most = 3000;     // entries; the oldest go first
var patience = 4000; // milliseconds before a page that is kept is shown

// Answers about people and records are never kept, nor the keys to quizzes, which are the trainer's.
function mayKeep(url) {
  return url.origin === location.origin && !/^\/(board|trust)\b/.test(url.pathname) && !/^\/quiz\/[^/]*\/key\.html/i.test(url.pathname) &&
    (!/^\/class\//.test(url.pathname) || /^\/class\/[a-z0-9-]+\.(js|css|svg|png|webmanifest)$/.test(url.pathname));
}

self.addEventListener("install", function () { self.skipWaiting(); });
self.addEventListener("activate", function (event) { event.waitUntil(Promise.all([self.clients.claim(), caches.open(shelf).then(weed)])); });

// weed takes out what an older worker kept and this one would not.
function weed(kept) {
  return kept.keys().then(function (keys) {
    return Promise.all(keys.filter(function (key) { return !mayKeep(new URL(key.url)); }).map(function (key) { return kept.delete(key); }));
  });
}

self.addEventListener("message", function (event) {
  var list = event.data && event.data.take;
  if (!Array.isArray(list)) return;
  event.waitUntil(caches.open(shelf).then(async function (kept) {
    var pages = await Promise.all(list.slice(0, 400).map(function (path) { return take(kept, new URL(String(path), location.origin)); }));
    var parts = new Set(pages.flat());
    await Promise.all(Array.from(parts).map(function (path) { return take(kept, new URL(path)); }));
    await tidy(kept);
  }));
});

// take keeps what an address gives, unless it is kept already. It returns what a page is made of besides.
async function take(kept, url) {
  if (!mayKeep(url)) return [];
  try {
    if (await kept.match(url.pathname)) return [];
    var reply = await fetch(url.pathname), page = /^text\/html/.test(reply.headers.get("Content-Type"));
    var text = page ? await reply.clone().text() : "";
    await put(kept, url.pathname, reply);
    return Array.from(text.matchAll(/(?:src|href|late)="([^"]+\.(?:css|js|svg|png|jpg|webp|webmanifest))"/g), function (part) { return new URL(part[1], url).href; });
  } catch (away) {
    return []; // it comes along at the next visit
  }
}

function put(kept, key, reply) {
  if (reply.status !== 200 || reply.type !== "basic" || reply.redirected || reply.headers.get("Cache-Control") === "no-store") return null;
  return kept.put(key, reply).catch(function () {}); // the device may be full
}

function tidy(kept) {
  return kept.keys().then(function (keys) {
    return Promise.all(keys.slice(0, Math.max(0, keys.length - most)).map(function (key) { return kept.delete(key); }));
  });
}

self.addEventListener("fetch", function (event) {
  var url = new URL(event.request.url);
  if (event.request.method !== "GET" || !mayKeep(url)) return;
  event.respondWith(caches.open(shelf).then(function (kept) { return answer(event, kept, url); }));
});

// answer asks the network, and takes what is kept when it fails or is slow.
function answer(event, kept, url) {
  var fresh = fetch(event.request).then(function (reply) {
    var copy = reply.clone();
    event.waitUntil(Promise.resolve(put(kept, url.pathname, copy)));
    return reply;
  });
  var late = new Promise(function (resolve) { setTimeout(resolve, patience); });
  return Promise.race([fresh, late]).catch(function () {}).then(function (reply) {
    if (reply) return reply;
    return find(kept, url).then(function (there) {
      if (!there) return fresh;
      fresh.catch(function () {});
      return there;
    });
  });
}

// find looks a page up; a folder's address means its index.
function find(kept, url) {
  return kept.match(url.pathname).then(function (there) {
    return there || kept.match(url.pathname.replace(/\/?$/, "/index.html"));
  });
}
