// Which variant of a machine somebody works on: chosen once on this device, and all pages of the machine follow. Pages that lead
// into jobs leave out those of other variants; without a choice, or without scripts, each of them can be opened.
(function () {
  "use strict";
  var store = matchmark.store, box = document.getElementById("ui_variant");
  function key(of) { return "matchmark.variant." + of.dataset.machine; }
  function each(selector, within, act) { (within || document).querySelectorAll(selector).forEach(act); }

  // In a list, an entry leads into the jobs of the variant alone, and to where another one is chosen.
  each(".entry[data-machine]", null, function (entry) {
    var end = "/steps-" + store.get(key(entry)) + ".html", links = [...entry.querySelectorAll("a.job")];
    function isOther(link) { return !new URL(link.href).pathname.endsWith(end); }
    if (links.every(isOther)) return;
    links.forEach(function (link) { link.hidden = isOther(link); });
    each(".other-variant", entry, function (link) { link.hidden = false; });
  });

  // A plan is long: it stands there once its variant is chosen. A link into what is left out shows that too, and is no choice.
  function show() {
    var chosen = "", at = document.getElementById(location.hash.slice(1));
    each("input", box, function (input) {
      input.checked = input.value === store.get(key(box));
      if (input.checked) chosen = input.value;
    });
    each("section.job", null, function (section) {
      var of = /^variant-(.+?)(--plan)?$/.exec(section.getAttribute("aria-labelledby"));
      section.hidden = !section.contains(at) && (chosen ? of[1] !== chosen : !!of[2]);
    });
    each("tr[data-on]", null, function (row) {
      row.hidden = !!chosen && row !== at && !row.dataset.on.split(" ").includes(chosen);
    });
    if (at) at.scrollIntoView();
  }
  if (!box) return;
  box.onchange = function (event) {
    store.set(key(box), event.target.value);
    show();
  };
  box.hidden = false;
  window.addEventListener("hashchange", show);
  show();
})();
