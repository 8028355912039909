// Search over the site. The index is a classic script that sets one global; it
// is loaded when the box is first used, because pages opened from a folder may
// not fetch and because a large library has a large index.
(function () {
  "use strict";

  // Letters that do not come apart into a plain letter and an accent.
  var plain = { ß: "ss", æ: "ae", œ: "oe", ø: "o", ł: "l", đ: "d", ı: "i" };

  // fold makes words comparable: no case, no accents.
  function fold(text) {
    return text.toLowerCase().normalize("NFKD").replace(/[\u0300-\u036f]/g, "")
      .replace(/[ßæœøłđı]/g, function (letter) { return plain[letter]; });
  }
  // split also takes the x of M12x1.25 for the cross that a page shows.
  function split(text) {
    return fold(text).replace(/(\d)x(?=\d)/g, "$1 ").split(/[^\p{L}\p{N}]+/u).filter(Boolean);
  }

  // entryOf takes one line of the index: [kind, title, where, link].
  function entryOf(line) {
    return {
      kind: line[0], title: line[1], where: line[2], link: line[3],
      inTitle: split(line[1]), inAll: split(line.slice(0, 3).join(" ")),
    };
  }

  function starts(words, prefix) {
    return words.some(function (word) { return word.startsWith(prefix); });
  }

  // find gives the entries in which every asked word begins some word; hits in the title come first.
  function find(index, text) {
    var asked = split(text);
    var hits = index.filter(function (entry) {
      return asked.every(function (prefix) { return starts(entry.inAll, prefix); });
    });
    function missing(entry) {
      return asked.filter(function (prefix) { return !starts(entry.inTitle, prefix); }).length;
    }
    return hits.map(function (entry, i) { return { entry: entry, at: i, missing: missing(entry) }; })
      .sort(function (a, b) { return a.missing - b.missing || a.at - b.at; })
      .map(function (hit) { return hit.entry; });
  }

  matchmark.search = { entryOf: entryOf, find: find };

  // ---- The box

  var say = matchmark.words("search");
  var place = document.getElementById("ui_search");
  if (!place) return;
  var make = matchmark.make;
  var root = document.currentScript.getAttribute("src").replace("assets/search.js", "");
  var box = make("input", { type: "search", id: "ui_search-words", autocomplete: "off", spellcheck: false, placeholder: say("hint") });
  var list = make("ul", { className: "hits", id: "ui_search-hits", hidden: true });
  var count = make("p", { className: "unseen", id: "ui_search-count" });
  count.setAttribute("role", "status");
  var button = make("button", { type: "submit" });
  button.setAttribute("aria-label", say("hint"));
  var form = make("form", { className: "search" },
    make("label", { htmlFor: box.id }, say("label")), make("div", { className: "search-field" }, box, button, list), count);
  form.setAttribute("role", "search");
  place.append(form);
  var most = 30; // hits shown
  var index = null; // entries, once loaded

  function load() {
    if (load.begun) return;
    load.begun = true;
    var script = document.createElement("script");
    script.src = root + "assets/search-index.js";
    script.onload = function () {
      index = window.matchmarkSearch.map(entryOf);
      show();
    };
    document.head.appendChild(script);
  }

  function item(entry) {
    var li = document.createElement("li");
    var a = document.createElement("a");
    a.href = root + entry.link;
    [["hit-kind", entry.kind], ["hit-title", entry.title], ["hit-where", entry.where]].forEach(function (piece) {
      if (!piece[1]) return;
      var span = document.createElement("span");
      span.className = piece[0];
      span.textContent = piece[1];
      a.append(span, " ");
    });
    li.appendChild(a);
    return li;
  }

  function close() {
    list.hidden = true;
    list.replaceChildren();
  }

  function show() {
    if (!split(box.value).length) {
      close();
      count.textContent = "";
      return;
    }
    if (!index) return; // comes again when the index is there
    var hits = find(index, box.value);
    list.replaceChildren.apply(list, hits.slice(0, most).map(item));
    if (!hits.length || hits.length > most) {
      var note = document.createElement("li");
      note.className = "hit-note";
      note.textContent = hits.length ? say("more", hits.length - most) : say("none");
      list.appendChild(note);
    }
    list.hidden = false;
    count.textContent = say.count("count", hits.length);
  }

  box.addEventListener("focus", load);
  box.addEventListener("input", function () { load(); show(); });
  form.addEventListener("submit", function (event) {
    event.preventDefault();
    var first = list.querySelector("a");
    if (first) first.click();
  });

  // Arrow keys walk from the box down the hits and back; Escape closes them.
  form.addEventListener("keydown", function (event) {
    var links = Array.from(list.querySelectorAll("a"));
    var at = links.indexOf(document.activeElement);
    if (event.key === "ArrowDown" && links.length) {
      links[Math.min(at + 1, links.length - 1)].focus();
    } else if (event.key === "ArrowUp" && at >= 0) {
      (at ? links[at - 1] : box).focus();
    } else if (event.key === "Escape") {
      box.focus();
      close();
    } else {
      return;
    }
    event.preventDefault();
  });
  // A tap elsewhere closes the hits.
  document.addEventListener("pointerdown", function (event) {
    if (!form.contains(event.target)) close();
  });
})();
