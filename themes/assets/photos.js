// Photos of findings on this tablet: scaled, named by the SHA-256 of their bytes,
// kept in a database of the browser. Where that is refused they stay with the page
// until it closes, and the page says so.
(function () {
  "use strict";

  var longest = 1600, most = 2 << 20; // pixels of the longer side, bytes
  var loose = {}; // photos that the device did not keep, by name
  var opened = new Promise(function (resolve, reject) {
    var request = indexedDB.open("matchmark", 1);
    request.onupgradeneeded = function () { request.result.createObjectStore("photos"); };
    request.onsuccess = function () { resolve(request.result); };
    request.onerror = request.onblocked = function () { reject(request.error); };
  });
  opened.catch(function () {}); // asked for below

  // within runs one request on the stored photos.
  function within(mode, ask) {
    return opened.then(function (database) {
      return new Promise(function (resolve, reject) {
        var work = database.transaction("photos", mode), request = ask(work.objectStore("photos"));
        work.oncomplete = function () { resolve(request.result); };
        work.onabort = work.onerror = function () { reject(work.error || request.error); };
      });
    });
  }

  // keep stores a picture under its name. It gives why the device did not keep it: "refused" or "full", "" when it did.
  function keep(name, bytes) {
    return within("readwrite", function (photos) { return photos.put(bytes, name); }).then(function () { return ""; }, function (fault) {
      loose[name] = bytes;
      return fault && fault.name === "QuotaExceededError" ? "full" : "refused";
    });
  }

  function fault(reason) { return Object.assign(new Error(reason), { reason: reason }); }
  function bytesOf(blob) { return blob.arrayBuffer().then(function (buffer) { return new Uint8Array(buffer); }); }

  // drawn gives a canvas with the picture upright, no side longer than asked for.
  function drawn(file) {
    return createImageBitmap(file, { imageOrientation: "from-image" }).then(function (picture) {
      var scale = Math.min(1, longest / Math.max(picture.width, picture.height));
      var canvas = document.createElement("canvas"), pen = canvas.getContext("2d");
      canvas.width = Math.max(1, Math.round(picture.width * scale));
      canvas.height = Math.max(1, Math.round(picture.height * scale));
      pen.fillStyle = "#fff"; // where the picture is transparent
      pen.fillRect(0, 0, canvas.width, canvas.height);
      pen.imageSmoothingQuality = "high";
      pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
      picture.close();
      return canvas;
    }, function () { throw fault("no-picture"); });
  }

  // jpeg writes a canvas as finely as the bound allows.
  function jpeg(canvas, quality) {
    return new Promise(function (resolve) { canvas.toBlob(resolve, "image/jpeg", quality); }).then(function (blob) {
      if (!blob || blob.type !== "image/jpeg") throw fault("no-picture");
      return blob.size <= most || quality < 0.3 ? blob : jpeg(canvas, quality - 0.2);
    });
  }

  matchmark.photos = {
    // put scales a picture and keeps it: {name, type, width, height, lost}, where lost is "refused" or "full"
    // when the photo goes with this page, otherwise "". It fails with the reason "no-picture" for what is none.
    put: function (file) {
      return drawn(file).then(function (canvas) {
        return jpeg(canvas, 0.85).then(bytesOf).then(function (bytes) {
          var name = matchmark.sha256(bytes);
          return keep(name, bytes).then(function (lost) {
            return { name: name, type: "image/jpeg", width: canvas.width, height: canvas.height, lost: lost };
          });
        });
      });
    },
    // take keeps a photo that another tablet made; it fails when the bytes are not those of the name.
    take: function (name, blob) {
      return bytesOf(blob).then(function (bytes) {
        if (bytes.length > most || bytes[0] !== 0xff || bytes[1] !== 0xd8 || matchmark.sha256(bytes) !== name) throw fault("no-picture");
        return keep(name, bytes);
      });
    },
    // get gives a kept photo, or null.
    get: function (name) {
      if (loose[name]) return Promise.resolve(new Blob([loose[name]], { type: "image/jpeg" }));
      return within("readonly", function (photos) { return photos.get(name); }).then(function (bytes) {
        return bytes ? new Blob([bytes], { type: "image/jpeg" }) : null;
      }, function () { return null; });
    },
    // base64 gives a photo as text.
    base64: function (blob) {
      return new Promise(function (resolve, reject) {
        var reader = new FileReader();
        reader.onload = function () { resolve(String(reader.result).split(",")[1]); };
        reader.onerror = function () { reject(reader.error); };
        reader.readAsDataURL(blob);
      });
    },
    // clear takes all photos off this tablet.
    clear: function () {
      loose = {};
      return within("readwrite", function (photos) { return photos.clear(); }).catch(function () {});
    },
    // refused gives true where the device keeps no photos at all.
    refused: function () { return opened.then(function () { return false; }, function () { return true; }); },
  };
})();
