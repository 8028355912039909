// Stores under this address what a tablet kept under another one of the class host's, and goes on where the tablet was.
// What is here already is put aside, not overwritten: the host brings together what belongs together. The page has no other scripts.
(function () {
  "use strict";
  var parcel = JSON.parse(document.getElementById("ui_parcel").textContent);

  function jobOf(text) {
    try { return JSON.parse(text).job || ""; } catch (broken) { return ""; }
  }
  function put(key, value) {
    var here = localStorage.getItem(key), job = here && here !== value && /^matchmark\.record\./.test(key) ? jobOf(here) : "";
    if (/^[0-9a-z]{26}$/.test(job)) localStorage.setItem("matchmark.record-done." + job, here);
    localStorage.setItem(key, value);
  }

  // photos are kept as photos.js keeps them; the host compares each with its name when it comes.
  function photos() {
    return new Promise(function (resolve, reject) {
      var request = indexedDB.open("matchmark", 1);
      request.onupgradeneeded = function () { request.result.createObjectStore("photos"); };
      request.onerror = request.onblocked = function () { reject(request.error); };
      request.onsuccess = function () {
        var work = request.result.transaction("photos", "readwrite"), kept = work.objectStore("photos");
        Object.keys(parcel.photos).forEach(function (name) {
          kept.put(Uint8Array.from(atob(parcel.photos[name]), function (c) { return c.charCodeAt(0); }), name);
        });
        work.oncomplete = resolve;
        work.onabort = work.onerror = function () { reject(work.error); };
      };
    });
  }

  async function unpack() {
    if (Object.keys(parcel.photos).length) await photos();
    Object.keys(parcel.kept).forEach(function (key) { if (/^matchmark\.[a-z]/.test(key)) put(key, String(parcel.kept[key])); });
    location.replace(/^\/[a-z0-9._-][a-z0-9/._-]*$/i.test(parcel.path) ? parcel.path : "/");
  }
  unpack().catch(function () {
    document.getElementById("ui_arrive").hidden = true;
    document.getElementById("ui_arrive-fault").hidden = false;
  });
})();
