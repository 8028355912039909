// Search over the site. The index comes in pieces, classic scripts that call this
// one, because pages opened from a folder may not fetch: lists say which groups of
// pages have a word, groups hold what can be found. Pieces are loaded when a search
// asks for them. compile/site/search.go writes them.
(function () {
  "use strict";

  // Letters that do not come apart into a plain letter and an accent.
  var plain = { ß: "ss", æ: "ae", œ: "oe", ø: "o", ł: "l", đ: "d", ı: "i", ς: "σ" };

  // fold makes words comparable: no case, no accents.
  function fold(text) {
    return text.toLowerCase().normalize("NFKD").toLowerCase().replace(/[\u0300-\u036f]/g, "")
      .replace(/[ßæœøłđıς]/g, function (letter) { return plain[letter]; });
  }
  // split also takes the x of M12x1.25 for the cross that a page shows.
  function split(text) {
    return fold(text).replace(/(\d)x(?=\d)/g, "$1 ").split(/[^\p{L}\p{N}]+/u).filter(Boolean);
  }

  // entryOf takes one hit: [kind, title, where, link].
  function entryOf(line) {
    return {
      kind: line[0], title: line[1], where: line[2], link: line[3],
      inTitle: split(line[1]), inAll: split(line.slice(0, 3).join(" ")),
    };
  }
  // entriesOf takes a document of a group: [kind, title, where, link, places...] with
  // places [kind, link, [anchor, title, anchor, title ...]]; a kind is a place in kinds.
  function entriesOf(document, kinds) {
    var lines = [[kinds[document[0]], document[1], document[2], document[3]]];
    document.slice(4).forEach(function (places) {
      for (var i = 0; i < places[2].length; i += 2) lines.push([kinds[places[0]], places[2][i + 1], document[1], places[1] + places[2][i]]);
    });
    return lines.map(entryOf);
  }

  // listsFor gives the keys of the lists in which words with a prefix stand.
  function listsFor(keys, prefix) {
    return keys.filter(function (key) {
      var letters = key.trimEnd();
      return letters.startsWith(prefix) || (letters === key && prefix.startsWith(key));
    });
  }
  // groupsIn gives the groups of a list that have a word with the prefix, as a set.
  function groupsIn(list, prefix) {
    var found = new Set();
    Object.keys(list).forEach(function (word) {
      if (!word.startsWith(prefix)) return;
      var groups = list[word];
      if (typeof groups !== "string") groups.forEach(function (g) { found.add(g); });
      else for (var i = 0; i < 4 * groups.length; i++) if (parseInt(groups[i >> 2], 16) >> (i & 3) & 1) found.add(i);
    });
    return found;
  }

  function starts(words, prefix) {
    return words.some(function (word) { return word.startsWith(prefix); });
  }

  // find gives the entries in which every asked word begins some word; hits in the
  // title come first, then by kind in the order of kinds.
  function find(entries, text, kinds) {
    var asked = split(text);
    function missing(entry) {
      return asked.filter(function (prefix) { return !starts(entry.inTitle, prefix); }).length;
    }
    return entries.filter(function (entry) { return asked.every(function (prefix) { return starts(entry.inAll, prefix); }); })
      .map(function (entry, i) { return { entry: entry, at: i, missing: missing(entry), kind: kinds.indexOf(entry.kind) }; })
      .sort(function (a, b) { return a.missing - b.missing || a.kind - b.kind || a.at - b.at; })
      .map(function (hit) { return hit.entry; });
  }

  var index = null; // {kinds, keys, groups}, once loaded
  var lists = {}, groups = {}; // pieces, once loaded
  matchmark.search = {
    split: split, entriesOf: entriesOf, find: find, listsFor: listsFor, groupsIn: groupsIn,
    // What the pieces call.
    index: function (kinds, keys, groups) { index = { kinds: kinds, keys: keys, groups: groups }; },
    list: function (key, words) { lists[key] = words; },
    group: function (number, documents) {
      groups[number] = [].concat.apply([], documents.map(function (d) { return entriesOf(d, index.kinds); }));
    },
  };

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
  var enough = 24; // groups looked at once there are hits

  function load(name) { return matchmark.script(root + "assets/search/" + name + ".js"); }
  function loadAll(names) { return Promise.all(names.map(load)); }
  function nameOf(key) {
    return "w" + Array.from(new TextEncoder().encode(key), function (byte) { return byte.toString(16).padStart(2, "0"); }).join("");
  }

  // groupsFor promises the numbers of the groups that have all asked words, in order.
  function groupsFor(asked) {
    return Promise.all(asked.map(function (prefix) {
      var keys = listsFor(index.keys, prefix);
      return loadAll(keys.map(nameOf)).then(function () {
        // A kind counts as a word, and every group may have it.
        if (starts(split(index.kinds.join(" ")), prefix)) return null;
        var found = new Set();
        keys.forEach(function (key) { groupsIn(lists[key], prefix).forEach(function (g) { found.add(g); }); });
        return found;
      });
    })).then(function (sets) {
      var some = sets.filter(Boolean);
      var all = some.length ? Array.from(some[0]) : Array.from({ length: index.groups }, function (_, g) { return g; });
      return all.filter(function (g) { return some.every(function (set) { return set.has(g); }); }).sort(function (a, b) { return a - b; });
    });
  }

  // search shows what it finds, group after group, until there is enough or something else is asked.
  function search() {
    var text = box.value, asked = split(text);
    if (!asked.length) {
      close();
      count.textContent = "";
      return;
    }
    function stale() { return box.value !== text; }
    load("index").then(function () { return stale() ? [] : groupsFor(asked); }).then(function (numbers) {
      var entries = [];
      function more(at) {
        if (stale()) return;
        var some = numbers.slice(at, at + 8), next = at + some.length;
        loadAll(some.map(function (g) { return "g" + g; })).then(function () {
          some.forEach(function (g) { entries = entries.concat(find(groups[g], text, index.kinds)); });
          if (stale()) return;
          var done = next >= numbers.length || (next >= enough && entries.length > 0);
          if (done || entries.length) show(find(entries, text, index.kinds), next < numbers.length);
          if (!done) more(next);
        }).catch(lost);
      }
      more(0);
    }).catch(lost);
  }

  function lost() { note(say("lost")); }

  function item(entry) {
    var link = make("a", { href: root + entry.link });
    [["hit-kind", entry.kind], ["hit-title", entry.title], ["hit-where", entry.where]].forEach(function (piece) {
      if (piece[1]) link.append(make("span", { className: piece[0] }, piece[1]), " ");
    });
    return make("li", {}, link);
  }

  function close() {
    list.hidden = true;
    list.replaceChildren();
  }

  // show lists the hits; open is true when groups are left that may have more.
  function show(hits, open) {
    list.replaceChildren.apply(list, hits.slice(0, most).map(item));
    list.hidden = false;
    if (open) note(say("open"));
    else if (!hits.length) note(say("none"));
    else if (hits.length > most) note(say("more", hits.length - most));
    count.textContent = open ? say("open") : say.count("count", hits.length);
  }
  function note(text) {
    list.append(make("li", { className: "hit-note" }, text));
    list.hidden = false;
  }

  box.addEventListener("focus", function () { load("index"); });
  box.addEventListener("input", search);
  form.addEventListener("submit", function (event) {
    event.preventDefault();
    var first = list.querySelector("a");
    if (first) first.click();
  });

  // Arrow keys walk from the box down the hits and back; Escape closes them.
  form.addEventListener("keydown", function (event) {
    var links = Array.from(list.querySelectorAll("a"));
    var at = links.indexOf(/** @type {Found} */ (document.activeElement));
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
    if (!form.contains(/** @type {Node} */ (event.target))) close();
  });
})();
