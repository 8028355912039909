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

  // entryOf takes one hit: [kind, title, where, link], and words that find it and are not shown.
  function entryOf(line) {
    return {
      kind: line[0], title: line[1], where: line[2], link: line[3],
      inTitle: split(line[1]), inAll: split(line.slice(0, 3).concat(line[4] || "").join(" ")),
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

  // slips counts the letters that are wrong, missing, too many or turned around in what is asked, against the beginning of a word.
  // Source: the optimal string alignment distance, Damerau (1964).
  function slips(asked, word) {
    var before = [], last = Array.from({ length: word.length + 1 }, function (_, j) { return j; });
    for (var i = 1; i <= asked.length; i++) {
      var now = [i];
      for (var j = 1; j <= word.length; j++) {
        now[j] = Math.min(last[j] + 1, now[j - 1] + 1, last[j - 1] + (asked[i - 1] === word[j - 1] ? 0 : 1));
        if (i > 1 && j > 1 && asked[i - 1] === word[j - 2] && asked[i - 2] === word[j - 1]) now[j] = Math.min(now[j], before[j - 2] + 1);
      }
      before = last;
      last = now;
    }
    return Math.min.apply(null, last);
  }
  // near gives those words that come closest to an asked one that none begins with: one slip in a word of four letters, two in one of
  // eight. Numbers are right or wrong.
  function near(words, asked) {
    var most = /\d/.test(asked) || asked.length < 4 ? 0 : asked.length < 8 ? 1 : 2, found = [];
    words.forEach(function (word) {
      if (found.indexOf(word) >= 0) return;
      var n = slips(asked, word.slice(0, asked.length + 2));
      if (n < most && n) {
        most = n;
        found = [];
      }
      if (n && n <= most) found.push(word);
    });
    return found;
  }

  // find gives the entries in which every asked word, or one that comes near it, begins some word; hits in the
  // title come first, then by kind in the order of kinds.
  function find(entries, text, kinds, instead) {
    var asked = split(text);
    function starts(words, prefix) {
      return [prefix].concat(instead && instead[prefix] || []).some(function (one) { return words.some(function (word) { return word.startsWith(one); }); });
    }
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
    split: split, entriesOf: entriesOf, find: find, near: near, listsFor: listsFor, groupsIn: groupsIn,
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

  // groupsFor promises the numbers of the groups that have all asked words, in order. For a word that nothing begins with it
  // takes those that come near it, and notes them in instead.
  function groupsFor(asked, own, instead) {
    return Promise.all(asked.map(function (prefix) {
      return groupsWith([prefix]).then(function (found) {
        if (!found || found.size || own.some(function (entry) { return starts(entry.inAll, prefix); })) return found;
        var keys = index.keys.length > 64 ? listsFor(index.keys, prefix[0]) : index.keys; // of a large library only what begins alike
        return loadAll(keys.map(nameOf)).then(function () {
          instead[prefix] = near([].concat.apply([], keys.map(function (key) { return Object.keys(lists[key]); }).concat(own.map(function (entry) { return entry.inAll; }))), prefix);
          return groupsWith(instead[prefix]);
        });
      });
    })).then(function (sets) {
      var some = sets.filter(Boolean);
      var all = some.length ? Array.from(some[0]) : Array.from({ length: index.groups }, function (_, g) { return g; });
      return all.filter(function (g) { return some.every(function (set) { return set.has(g); }); }).sort(function (a, b) { return a - b; });
    });
  }
  // groupsWith promises the groups that have a word with one of some beginnings, as a set; null for all.
  function groupsWith(prefixes) {
    // A kind counts as a word, and every group may have it.
    if (prefixes.some(function (prefix) { return starts(split(index.kinds.join(" ")), prefix); })) return Promise.resolve(null);
    var keys = [].concat.apply([], prefixes.map(function (prefix) { return listsFor(index.keys, prefix); }));
    return loadAll(keys.map(nameOf)).then(function () {
      var found = new Set();
      keys.forEach(function (key) { prefixes.forEach(function (prefix) { groupsIn(lists[key], prefix).forEach(function (g) { found.add(g); }); }); });
      return found;
    });
  }

  // search shows what it finds, group after group, until there is enough or something else is asked. What the page itself has comes
  // first, and stands there also when the index cannot be loaded.
  function search() {
    var text = box.value, asked = split(text), instead = {};
    if (!asked.length) {
      close();
      count.textContent = "";
      return;
    }
    var own = (matchmark.here ? matchmark.here() : []).map(entryOf), entries = own;
    function stale() { return box.value !== text; }
    function hits() { return find(entries, text, index ? index.kinds : [], instead); }
    function lost() {
      if (stale()) return;
      show(hits(), false, instead);
      note(say("lost"));
    }
    load("index").then(function () { return stale() ? [] : groupsFor(asked, own, instead); }).then(function (numbers) {
      function more(at) {
        if (stale()) return;
        var some = numbers.slice(at, at + 8), next = at + some.length;
        loadAll(some.map(function (g) { return "g" + g; })).then(function () {
          some.forEach(function (g) { entries = entries.concat(find(groups[g], text, index.kinds, instead)); });
          if (stale()) return;
          var done = next >= numbers.length || (next >= enough && entries.length > own.length);
          if (done || entries.length > own.length) show(hits(), next < numbers.length, instead);
          if (!done) more(next);
        }).catch(lost);
      }
      more(0);
    }).catch(lost);
  }

  function item(entry) {
    var link = make("a", { href: entry.link[0] === "#" ? entry.link : root + entry.link });
    [["hit-kind", entry.kind], ["hit-title", entry.title], ["hit-where", entry.where]].forEach(function (piece) {
      if (piece[1]) link.append(make("span", { className: piece[0] }, piece[1]), " ");
    });
    return make("li", {}, link);
  }

  function close() {
    list.hidden = true;
    list.replaceChildren();
  }

  // show lists the hits; open is true when groups are left that may have more. It says which words were taken for others.
  function show(hits, open, instead) {
    list.replaceChildren.apply(list, hits.slice(0, most).map(item));
    Object.keys(instead).forEach(function (asked) { if (hits.length) list.prepend(make("li", { className: "hit-note" }, say("near", asked))); });
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

  box.addEventListener("focus", function () { load("index").catch(function () {}); }); // what is asked for says that it is missing
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
