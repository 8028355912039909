// Which variant of a machine somebody works on: chosen once on this device, and all pages of the machine follow. Pages that lead
// into jobs leave out those of other variants; without a choice, or without scripts, each of them can be opened.
(function () {
  "use strict";
  var say = matchmark.words("variant"), store = matchmark.store, make = matchmark.make;
  var box = document.getElementById("ui_variant");
  function key(of) { return "matchmark.variant." + of.dataset.machine; }

  // In a list, an entry leads into the jobs of the variant alone, and to where another one is chosen.
  function follow(entry) {
    var chosen = store.get(key(entry)), links = [...entry.querySelectorAll("a.job")];
    function own(link) { return new URL(link.href).pathname.endsWith("/steps-" + chosen + ".html"); }
    if (!links.some(own)) return;
    links.forEach(function (link) { link.hidden = !own(link); });
    if (!box) entry.append(make("a", { className: "other-variant", href: entry.querySelector(".entry-title").href + "#ui_variant" }, say("other")));
  }
  document.querySelectorAll(".entry[data-machine]").forEach(follow);

  if (!box) return;
  var choices = [...box.children].map(function (item) { return { id: item.dataset.variant, name: item.textContent }; });

  // A plan is long: it stands there once its variant is chosen. A link into what is left out shows that too, and is no choice.
  function show() {
    var chosen = store.get(key(box)), to = location.hash.slice(1), at = document.getElementById(to);
    if (!choices.some(function (c) { return c.id === chosen; })) chosen = "";
    document.querySelectorAll("section.job").forEach(function (section) {
      var of = /^variant-(.+?)(--plan)?$/.exec(section.getAttribute("aria-labelledby"));
      section.hidden = !section.contains(at) && (chosen ? of[1] !== chosen : !!of[2]);
    });
    document.querySelectorAll("tr[data-variants]").forEach(function (row) {
      row.hidden = !!chosen && row !== at && !row.dataset.variants.split(" ").includes(chosen);
    });
    box.querySelectorAll("input").forEach(function (input) { input.checked = input.value === chosen; });
    if (at) at.scrollIntoView();
  }
  box.replaceChildren(make("fieldset", {}, make("legend", {}, say("which")), ...choices.map(function (c) {
    return make("label", {}, make("input", { type: "radio", name: "ui_variant", value: c.id, onchange: function () {
      store.set(key(box), c.id);
      show();
    } }), make("span", {}, c.name));
  })));
  box.hidden = false;
  window.addEventListener("hashchange", show);
  show();
})();
