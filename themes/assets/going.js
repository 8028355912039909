// What is open and what is done on this device, on the pages that lead into jobs: the start page, a course, a procedure.
// The step view keeps where each job stands.
(function () {
  "use strict";
  var say = matchmark.words("going"), store = matchmark.store, make = matchmark.make;
  function parsed(key) {
    try { return JSON.parse(store.get(key)) || {}; } catch (broken) { return {}; }
  }
  /** @param {any} link */
  function tail(link) { return new URL(link.href).pathname.split("/").slice(-2).join("/"); }

  var places = {}, prefix = "matchmark.place.";
  (store.keys() || []).forEach(function (key) {
    var place = key.indexOf(prefix) === 0 ? parsed(key) : {};
    if (place.of && (place.done || place.number > 1)) places[key.slice(prefix.length)] = place;
  });
  function words(place) { return place.done ? say("done") : say("go-on", place.number, place.of); }

  // Every way into a job says where the job stands.
  document.querySelectorAll("a.job, a.start").forEach(function (link) {
    var place = places[tail(link)];
    if (place) (link.querySelector(".job-facts") || link).replaceChildren(words(place));
  });

  // The start page begins with what is open, the latest first.
  var shelf = document.getElementById("ui_going");
  if (shelf) {
    Object.keys(places).filter(function (at) { return !places[at].done; }).sort(function (a, b) { return places[b].at - places[a].at; }).slice(0, 3).forEach(function (at, i) {
      var link = make("a", { className: i ? "button going" : "button main going", href: "procedure/" + at }, make("strong", {}, words(places[at])), make("span", {}, places[at].title));
      shelf.append(link);
    });
  }

  // A course says what of it is done.
  var items = document.querySelectorAll(".session .entry"), done = 0;
  items.forEach(function (item) {
    var jobs = [...item.querySelectorAll("a.job")], title = item.querySelector("a.entry-title");
    var quiz = /quiz\/([a-z0-9-]+)\/index\.html$/.exec(title ? title.href : "");
    var is = quiz ? (parsed("matchmark.quiz." + quiz[1]).done || []).some(function (r) { return r.score && r.score.passed; })
      : jobs.some(function (link) { return (places[tail(link)] || {}).done; });
    item.classList.toggle("is-done", is);
    if (!is) return;
    done++;
    item.append(make("p", { className: "entry-done" }, quiz ? say("passed") : say("done")));
  });
  if (done) document.querySelector(".sessions").before(make("p", { className: "course-progress" }, say("progress", done, items.length)));
})();
