// On the first screen of a job: who works on it, with whom, and on which machine. What was named before on this device is a tap away.
(function () {
  "use strict";
  var say = matchmark.words("begin"), make = matchmark.make, button = matchmark.button, store = matchmark.store, most = 8;

  function listed(key) {
    try { return JSON.parse(store.get(key) || "[]").map(String).slice(0, most); } catch (broken) { return []; }
  }
  function names(text) { return text.replace(/[\0-\x1f]/g, "").split(",").map(function (name) { return name.trim(); }).filter(Boolean); }

  matchmark.begin = function (page) {
    var job = page.job, keys = ["matchmark.people", "matchmark.machines." + page.plan.procedure];
    if (!job.fresh()) return;
    var box = make("section", { className: "keeping begin" }), known = [];
    box.setAttribute("aria-label", say("title"));

    // line is a field with a button for each name that it had before. Where several may be in it, a touch adds one or takes it out.
    function line(what, text, key, value, several, write) {
      var input = make("input", { type: "text", id: "ui_begin-" + what, maxLength: 80, autocomplete: "off", value: value });
      var chips = listed(key).map(function (name) {
        return button(name, function () {
          var given = names(input.value), others = given.filter(function (other) { return other !== name; });
          input.value = given.length > others.length ? others.join(", ") : (several ? given : []).concat(name).join(", ");
          take();
          remember();
        });
      });
      function take() {
        var given = names(input.value);
        chips.forEach(function (chip) { chip.setAttribute("aria-pressed", String(given.indexOf(chip.textContent) >= 0)); });
        write(Array.from(given.join(", ")).slice(0, 80).join(""));
      }
      function remember() {
        var all = names(input.value).concat(listed(key));
        store.set(key, JSON.stringify(all.filter(function (name, i) { return all.indexOf(name) === i; }).slice(0, most)));
      }
      input.addEventListener("input", take);
      input.addEventListener("change", remember);
      known.push(...chips);
      return make("div", { className: "field" }, make("label", { htmlFor: input.id }, text), make("div", { className: "choices" }, ...chips), input);
    }

    // At a class host the name is that of the class list, and who works along joins with a tablet.
    var inClass = /"secret":"./.test(store.get("matchmark.class") || "") && job.learner();
    box.append(make("div", { className: "fields" },
      inClass ? make("p", { className: "field" }, say("in-class", job.learner())) : line("people", say("people"), keys[0], job.learner(), true, job.nameLearner),
      line("machine", say("machine"), keys[1], job.machine(), false, job.nameMachine)));
    if (known.length) {
      var forget = button(say("forget"), function () {
        keys.forEach(store.remove);
        known.concat(forget).forEach(function (chip) { chip.remove(); });
      });
      box.append(forget);
    }
    page.articles[0].querySelector(".work").append(box); // where it moves nothing that a finger is about to touch
    job.changed(function () { if (!job.fresh()) box.remove(); });
  };
})();
