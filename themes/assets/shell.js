// What every page needs: the words for scripts, storage that may be refused,
// and the switch between the light and the dark page.
(function () {
  "use strict";

  // words(SCRIPT) returns the function say: given a short key of the table and
  // values, it fills in {0}, {1}; say.count picks the form for one or for many.
  var table = JSON.parse(document.getElementById("ui_words").textContent);
  function words(section) {
    function say(key) {
      var args = arguments;
      return (table[section][key] || "[" + key + "]").replace(/\{(\d)\}/g, function (_, i) {
        return args[+i + 1];
      });
    }
    say.count = function (key, n) {
      return say(key + (n === 1 ? ".one" : ".many"), n);
    };
    return say;
  }

  // A device may refuse to keep anything (private mode, full, switched off).
  // get then returns null, and set and remove return false, so that the page can say so.
  var store = {
    get: function (key) {
      try { return localStorage.getItem(key); } catch (refused) { return null; }
    },
    set: function (key, value) {
      try { localStorage.setItem(key, value); return true; } catch (refused) { return false; }
    },
    remove: function (key) {
      try { localStorage.removeItem(key); return true; } catch (refused) { return false; }
    },
  };

  window.matchmark = { words: words, store: store };

  var choice = document.getElementById("ui_theme-choice");
  if (choice) {
    choice.value = store.get("matchmark.theme") || "auto";
    choice.addEventListener("change", function () {
      if (choice.value === "auto") {
        store.remove("matchmark.theme");
        delete document.documentElement.dataset.theme;
      } else {
        store.set("matchmark.theme", choice.value);
        document.documentElement.dataset.theme = choice.value;
      }
    });
  }
})();
