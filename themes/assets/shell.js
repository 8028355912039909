// What every page needs: the words for scripts, storage that may be refused,
// and the switches for the size of text and for the light and the dark page.
(function () {
  "use strict";

  // words(SCRIPT) returns the function say: given a short key of the table and
  // values, it fills in {0}, {1}; say.count picks the form that the language takes for a number.
  var table = window.matchmarkWords;
  function words(section) {
    function say(key, ...values) {
      return (table[section][key] || "[" + key + "]").replace(/\{(\d)\}/g, function (_, i) {
        return values[i];
      });
    }
    say.count = function (key, n) {
      var form = key + "." + new Intl.PluralRules(document.documentElement.lang).select(n);
      return say(table[section][form] ? form : key + ".other", n);
    };
    return say;
  }

  // A device may refuse to keep anything (private mode, full, switched off).
  // get then returns null, keys nothing, and set and remove return false, so that the page can say so.
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
    keys: function () {
      try { return Object.keys(localStorage).sort(); } catch (refused) { return []; }
    },
  };

  // make makes an element with its properties and what stands in it; a text stays text.
  function make(tag, properties, ...inside) {
    var element = Object.assign(document.createElement(tag), properties);
    element.append(...inside);
    return element;
  }

  function button(text, touched, className) {
    var b = make("button", { type: "button", className: className || "" }, text);
    b.addEventListener("click", touched);
    return b;
  }

  // loaded calls back once the page has all that it will get, with how many of its pictures did not come.
  function loaded(tell) {
    function count() { tell([...document.images].filter(function (image) { return !image.complete || !image.naturalWidth; }).length); }
    if (document.readyState === "complete") count();
    else window.addEventListener("load", count);
  }

  // script promises a script of the site that a page does without at first; one that did not come may be asked for again.
  var scripts = {};
  function script(address) {
    scripts[address] ||= new Promise(function (come, failed) {
      document.head.append(make("script", { src: address, onload: come, onerror: function () { delete scripts[address]; failed(); } }));
    });
    return scripts[address];
  }

  window.matchmark = /** @type {any} */ ({ words: words, store: store, make: make, button: button, loaded: loaded, script: script }); // other scripts add theirs

  // The page that a whole job is printed from opens this one in a frame of that name, and is told what it holds: see whole.js.
  if (window.name === "ui_whole") parent.postMessage(document.body.outerHTML, /^file/.test(location.href) ? "*" : location.origin);

  // choice is a select at the end of the header, of what the device keeps and theme.js reads before the page is drawn: an attribute
  // of the root element. The first of the values is what holds without it.
  function choice(name, title, values) {
    var key = "matchmark." + name, select = make("select", { id: "ui_" + name + "-choice" });
    values.forEach(function (value) { select.append(make("option", { value: value[0], selected: value[0] === store.get(key) }, value[1])); });
    select.onchange = function () {
      var value = select.selectedIndex ? select.value : "";
      store.set(key, value);
      document.documentElement.dataset[name] = value;
    };
    return make("label", { className: "theme-switch" }, make("span", { className: "theme-name" }, title), select);
  }
  var say = words("shell");
  document.querySelector(".top").append(make("div", { className: "switches" },
    choice("size", say("text"), [["normal", say("normal")], ["larger", say("larger")], ["largest", say("largest")]]),
    choice("theme", say("theme"), [["auto", say("auto")], ["light", say("light")], ["dark", say("dark")]])));
})();
