// What has to happen before work goes on: on the way back the repairs that a step waits
// for, and everywhere whatever stops the work until somebody in charge has looked.
(function () {
  "use strict";
  var say = matchmark.words("repairs");
  var make = matchmark.make;

  matchmark.repairs = function (page, findings) {
    var job = page.job;

    function open(entry) { return !job.repaired(entry.name); }

    // rows puts the repairs before a step's own work. It leaves a part that says the same already, so that a touch does not lose its place.
    function rows(i) {
      var article = page.articles[i], box = article.querySelector(".repairs");
      var waiting = page.plan.way === "back" ? job.findings().filter(function (entry) { return findings.gates(entry.finding) === i; }) : [];
      var text = JSON.stringify(waiting.map(function (entry) { return [entry.name, entry.finding]; }));
      if ((box ? box.dataset.text : "[]") === text) return;
      if (box) box.remove();
      if (!waiting.length) return;
      box = make("section", { className: "hold repairs" }, make("h3", { className: "i-tool", id: article.id + "--repairs" }, say("title")), make("p", {}, say("means")),
        make.apply(null, ["menu", {}].concat(waiting.map(row))));
      box.dataset.text = text;
      box.setAttribute("aria-labelledby", article.id + "--repairs");
      article.querySelector(".work").prepend(box);
    }

    function row(entry) {
      var f = entry.finding, input = make("input", { type: "checkbox", id: "ui_repair-" + entry.name });
      input.dataset.repair = entry.name;
      var told = make("label", { className: "told", htmlFor: input.id }, make("span", {}, make("b", {}, say("repaired")), " ", findings.title(f)));
      if (f.repair) told.append(make("strong", {}, f.repair));
      if (f.words) told.append(make("em", {}, f.words));
      told.append(make("small", {}, [findings.stepWord(f)].concat(f.by || []).join(" · ")));
      if (f.photos) told.append(make.apply(null, ["div", { className: "photos" }].concat(f.photos.map(findings.thumb))));
      return make("li", { className: "row" }, input, told);
    }

    return {
      refresh: function () {
        for (var i = 0; i < page.steps.length; i++) rows(i);
        page.articles.forEach(function (article) {
          article.querySelectorAll("[data-repair]").forEach(function (input) { input.checked = job.repaired(input.dataset.repair); });
        });
      },
      // stops lists what stops the work: [words, what to touch, what that does].
      stops: function () {
        return job.findings().filter(function (entry) { return entry.finding.severity === "stops-work" && open(entry); }).map(function (entry) {
          return [say("stops", findings.title(entry.finding)), say("looked"), function () { job.repair(entry.name, true); }, "stops i-stop"];
        });
      },
    };
  };
})();
