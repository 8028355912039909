// What a search in the step view finds in the job itself, which needs no network: its steps, what is done in them, and the words
// that are explained there.
(function () {
  "use strict";
  var say = matchmark.words("lookup");
  function all(root, selector) { return Array.from(root.querySelectorAll(selector)); }

  // lookup tells the search what stands on a step page, as entries [kind, title, where, link, more words].
  matchmark.lookup = function (page) {
    var entries = [];
    page.steps.forEach(function (step, i) {
      var where = say("step", i + 1), title = page.titleOf(i);
      entries.push([where, title, "", "#" + step.id]);
      all(page.articles[i], ".row").forEach(function (row) {
        var words = all(row, ".chip, .told > *").map(function (part) { return part.textContent.trim(); }), name = row.querySelector(".chip") ? 2 : 1;
        entries.push([where, words.slice(0, name).join(" "), title, "#" + row.id, words.slice(name).join(" ")]);
      });
      all(page.articles[i], ".meanings dt").forEach(function (term) {
        entries.push([say("word"), term.textContent, where, "#" + step.id, term.nextElementSibling.textContent.trim()]);
      });
    });
    matchmark.here = function () { return entries; };
  };
})();
