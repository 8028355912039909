// Which variant of a machine somebody works on: chosen once on this device, and all pages of the machine follow. Pages that lead
// into jobs leave out those of other variants; without a choice, or without scripts, each of them can be opened.
(function () {
  "use strict";
  var store = matchmark.store, box = document.getElementById("ui_variant");
  function choice(of) { return store.get("matchmark.variant." + of.dataset.machine); }
  function each(within, selector, act) { within.querySelectorAll(selector).forEach(act); }

  // In a list, an entry leads into the jobs of the variant alone, and to where another one is chosen.
  function follow(entry) {
    var end = "/steps-" + choice(entry) + ".html", links = [...entry.querySelectorAll("a.job")];
    function isOther(link) { return !link.pathname.endsWith(end); }
    if (links.every(isOther)) return;
    links.forEach(function (link) { link.hidden = isOther(link); });
    entry.querySelector(".other-variant").hidden = false;
  }

  // A plan is long: it stands there once its variant is chosen. A link into what is left out shows that too, and is no choice.
  function show() {
    var chosen = "", at = document.getElementById(location.hash.slice(1));
    each(document, ".entry[data-machine]", follow);
    if (!box) return;
    each(box, "input", function (input) {
      input.checked = input.value === choice(box);
      if (input.checked) chosen = input.value;
    });
    each(document, "section.job", function (section) {
      var of = /^variant-(.+?)(--plan)?$/.exec(section.getAttribute("aria-labelledby"));
      section.hidden = !section.contains(at) && (chosen ? of[1] !== chosen : !!of[2]);
    });
    each(document, "tr[data-on]", function (row) {
      row.hidden = !!chosen && row !== at && !row.dataset.on.split(" ").includes(chosen);
    });
    box.hidden = false;
    if (at) at.scrollIntoView();
  }
  if (box) box.onchange = function (event) {
    store.set("matchmark.variant." + box.dataset.machine, /** @type {Found} */ (event.target).value);
    show();
  };
  window.addEventListener("hashchange", show);
  show();
})();
