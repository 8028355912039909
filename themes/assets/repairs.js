// What has to happen before work goes on: in the refitting the repairs that a step waits
// for, and everywhere whatever stops the work until somebody in charge has looked.
(function () {
  "use strict";
  var say = matchmark.words("repairs");
  var make = matchmark.make;

  matchmark.repairs = function (page, findings) {
    var job = page.job;

    // The trainer alone lets work go on that a finding stops: on the board, or by a code from it. What is written here in the trainer's
    // name proves nothing, and counts only while no host can be asked.
    function asking() { return Boolean(matchmark.host) && matchmark.host !== "away"; }
    function shut(stop) { return asking() || !job.written(stop.key); }

    var dialog = make("dialog", { className: "list look", id: "ui_look" });
    document.body.append(dialog);
    job.changed(function () { if (dialog.open && !job.stops(page.proved).some(function (stop) { return stop.key === dialog.dataset.key; })) dialog.close(); });
    function button(text, touched, className) {
      var b = make("button", { type: "button", className: className || "" }, text);
      b.addEventListener("click", touched);
      return b;
    }
    // look asks for the code that the board shows, or where no host can be asked for the trainer's initials.
    function look(stop) {
      var coded = asking(), told = make("p", { className: "notice-line" }), heading = make("h2", { id: "ui_look-title", tabIndex: -1 }, say("look-title"));
      var typed = make("input", { type: "text", id: "ui_look-typed", autocomplete: "off", maxLength: coded ? 8 : 80 });
      if (coded) typed.inputMode = "numeric";
      told.setAttribute("role", "alert");
      async function done() {
        var text = typed.value.trim();
        if (!text) return typed.focus();
        if (!coded) {
          dialog.close();
          return job.write(stop.key, text);
        }
        typed.value = "";
        var reply = await matchmark.giveCode(stop.key, text).catch(function () { return { problem: say("unreached") }; });
        told.textContent = [reply.problem, reply.do].filter(Boolean).join(" ");
      }
      typed.addEventListener("keydown", function (event) { if (event.key === "Enter") done(); });
      dialog.dataset.key = stop.key;
      dialog.setAttribute("aria-labelledby", heading.id);
      dialog.replaceChildren(make("header", { className: "list-head" }, heading, button(say("close"), function () { dialog.close(); }, "i-close")),
        make("div", { className: "look-body" }, make("p", {}, make("strong", {}, findings.title(stop.finding))), make("p", {}, stop.finding.words || ""), make("p", {}, coded ? say("look-code") : say("look-away")),
          make("p", { className: "field" }, make("label", { htmlFor: typed.id }, coded ? say("code") : say("initials")), typed), told,
          make("p", { className: "choices" }, button(say("go-on"), done, "main"))));
      dialog.showModal();
      typed.focus();
    }

    // rows puts the repairs before a step's own work. It leaves a part that says the same already, so that a touch does not lose its place.
    function rows(i) {
      var article = page.articles[i], box = article.querySelector(".repairs");
      var waiting = page.plan.way === "back" ? job.findings().filter(function (entry) { return findings.gates(entry.finding) === i; }) : [];
      var text = JSON.stringify(waiting.map(function (entry) { return [entry.name, entry.finding]; }));
      if ((box ? box.dataset.text : "[]") === text) return;
      if (box) box.remove();
      if (!waiting.length) return;
      box = make("section", { className: "hold repairs" }, make("h3", { className: "i-tool", id: article.id + "--repairs" }, say("title")), make("p", {}, say("means")),
        make("menu", {}, ...waiting.map(row)));
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
      if (f.photos) told.append(make("div", { className: "photos" }, ...f.photos.map(findings.thumb)));
      return make("li", { className: "row" }, input, told);
    }

    return {
      refresh: function () {
        for (var i = 0; i < page.steps.length; i++) rows(i);
        page.articles.forEach(function (article) {
          article.querySelectorAll("[data-repair]").forEach(function (input) { input.checked = job.repaired(input.dataset.repair); });
        });
      },
      stopped: function () { return job.stops(page.proved).some(shut); },
      // stops lists what stops the work, or would if it could be proved who let it go on: [words, what to touch, what that does].
      stops: function () {
        return job.stops(page.proved).map(function (stop) {
          var title = findings.title(stop.finding), written = job.written(stop.key);
          return shut(stop) ? [say("stops", title), say("looked"), function () { look(stop); }, "stops i-stop"] : [say("stops-unproved", title, written === true ? "?" : written)];
        });
      },
    };
  };
})();
