// Joins a page to the class host that serves it: sends what the tablet wrote,
// fetches what others wrote on the same job, tells the learner in one line how things stand, and lets the
// page open again without network where the browser can. Only the host puts this script into pages.
(function () {
  "use strict";
  var own = JSON.parse(document.getElementById("ui_class_data").textContent);
  var job = matchmark.job || null; // the job of a step page
  matchmark.host = true;
  document.dispatchEvent(new CustomEvent("matchmark:host"));

  window.matchmarkWords["class"] = own.words;
  var say = matchmark.words("class");

  // ---- The wire

  // ask sends one request and gives up after a time, so that a network that swallows everything does not
  // hold up the rest: a photo may take a minute, anything else 20 seconds.
  async function ask(method, path, body, type) {
    var giveUp = new AbortController();
    var timer = setTimeout(function () { giveUp.abort(); }, type === "image/jpeg" ? 60000 : 20000);
    try {
      var reply = await fetch("/class/" + path, {
        method: method, body: body, signal: giveUp.signal, cache: "no-store",
        headers: type ? { "Content-Type": type } : {},
      });
      var text = await reply.text(), answer = {};
      try { answer = JSON.parse(text || "{}"); } catch (plain) { answer = { problem: text }; }
      return { status: reply.status === 204 ? 200 : reply.status, answer: answer };
    } finally {
      clearTimeout(timer);
    }
  }
  var wire = {
    hello: function () { return ask("GET", "hello"); },
    post: function (path, value) { return ask("POST", path, JSON.stringify(value), "application/json"); },
    put: function (path, blob) { return ask("PUT", path, blob, "image/jpeg"); },
  };

  // ---- The device

  function keys() {
    try { return Object.keys(localStorage); } catch (refused) { return []; }
  }
  var outbox = matchmark.outbox({
    keys: keys,
    get: matchmark.store.get,
    set: matchmark.store.set,
    photo: matchmark.photos.get,
    took: function (record) { if (job && record.job === job.record().job) job.take(record); },
  }, wire);

  // ---- When to send

  var soonest = 1500, latest = 10000; // milliseconds from one try to the next
  var pause = soonest, timer = 0, busy = false, again = false, reached = null;

  function plan(after) {
    clearTimeout(timer);
    timer = setTimeout(run, after);
  }

  async function run() {
    if (busy) {
      again = true;
      return;
    }
    busy = true;
    again = false;
    try {
      await outbox.flush();
      reached = true;
      pause = soonest;
      await listen();
      await offerJobs();
    } catch (unreached) {
      reached = false;
      // A class that all comes back at once is spread out.
      pause = Math.min(latest, pause * 2) * (0.75 + Math.random() / 2);
    }
    busy = false;
    show();
    plan(again && reached ? soonest : reached ? idle() : pause);
  }

  // idle is how long to wait while nothing changes here: a hold point that waits for its signature is looked
  // after often, and so is a job to join while none was begun.
  function idle() { return waiting() ? 2000 : job && job.fresh() && !alone ? 4000 : 10000; }

  function waiting() {
    if (!job) return false;
    var me = (job.record().tablets || {})[(JSON.parse(matchmark.store.get("matchmark.tablet") || "{}") || {}).name];
    return Boolean(me && me.waits);
  }

  // listen fetches what others, the trainer among them, wrote on the job.
  var seen = "";
  async function listen() {
    if (!job || job.fresh() && !waiting()) return; // the host knows no job that nobody began
    var reply = await fetch("/class/record/" + job.record().job, { cache: "no-store", headers: seen ? { "If-None-Match": seen } : {} });
    if (reply.status !== 200) return;
    seen = reply.headers.get("ETag") || "";
    job.take(await reply.json());
    await fetchPhotos();
  }

  // fetchPhotos gets the photos that other tablets made, so that they show here and are in the file that is saved here.
  var looked = {}; // photos that are here, or that the host does not have yet
  async function fetchPhotos() {
    var record = job.record();
    for (var name of Object.keys(record.photos || {})) {
      if (looked[name]) continue;
      if (!await matchmark.photos.get(name)) {
        var reply = await fetch("/class/photo/" + record.job + "/" + name, { cache: "no-store" });
        if (reply.status !== 200) continue;
        await matchmark.photos.take(name, await reply.blob());
      }
      looked[name] = true;
    }
  }

  document.addEventListener("matchmark:changed", function () { again = true; show(); if (!busy && reached !== false) plan(soonest); });
  document.addEventListener("matchmark:result", function () { show(); run(); });
  window.addEventListener("online", run);
  document.addEventListener("visibilitychange", function () { if (!document.hidden) run(); });

  // ---- What the learner sees

  var line = document.createElement("p");
  line.className = "class-line";
  line.id = "ui_class-line";
  line.setAttribute("role", "status");

  function show() {
    var refused = outbox.refused(), left = outbox.open().length, text;
    if (refused.length) text = say("refused", refused[0].problem, refused[0].do);
    else if (reached === false) text = left ? say.count("waits", left) : say("away");
    else if (reached === null) text = say("looking");
    else text = left ? say("sending") : outbox.any() ? say("sent") : say("joined");
    var state = refused.length ? "refused" : reached === false ? "away" : left ? "sending" : "sent";
    line.dataset.state = state;
    if (line.textContent !== text) line.textContent = text;
  }

  // ---- A job that another tablet began

  // offerJobs asks until something was done here, because two tablets may be opened at one time.
  var offer = null, alone = false, offered = "";
  async function offerJobs() {
    if (!job || alone || !job.fresh()) return;
    var record = job.record();
    var reply = await ask("GET", "jobs?procedure=" + encodeURIComponent(record.procedure) + "&variant=" + encodeURIComponent(record.variant || ""));
    var list = (reply.status === 200 && reply.answer) || [];
    list = list.filter(function (other) { return other.job !== record.job; });
    if (!list.length || !job.fresh() || offered === JSON.stringify(list)) return; // a finger may be on its way to what is shown
    offered = JSON.stringify(list);
    if (offer) offer.remove();
    var box = offer = document.createElement("section");
    box.className = "class-jobs";
    box.setAttribute("aria-label", say("jobs"));
    var head = document.createElement("p");
    head.textContent = say("jobs");
    box.append(head);
    list.slice(0, 12).forEach(function (other) {
      var button = document.createElement("button");
      button.type = "button";
      button.textContent = say("join", other.machine || say("unnamed"), clock(other.begun));
      button.addEventListener("click", async function () {
        var reply = await ask("GET", "record/" + other.job);
        if (reply.status !== 200) return;
        job.join(reply.answer);
        withdraw();
        run();
      });
      box.append(button);
    });
    var own = document.createElement("button");
    own.type = "button";
    own.textContent = say("alone");
    own.addEventListener("click", withdraw);
    box.append(own);
    document.getElementById("ui_notices").after(box);
  }
  function withdraw() {
    alone = true;
    if (offer) offer.remove();
  }
  document.addEventListener("matchmark:changed", function () { if (offer && !job.fresh()) offer.remove(); });

  function clock(at) {
    return new Date(at).toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit" });
  }

  // ---- Opening again without network

  // takeAlong gives the worker this page and those that it leads to, but for the start page, which leads everywhere.
  // A first visit is not seen by the worker, because it starts only then.
  function takeAlong(worker) {
    var wanted = [location.pathname, "/", "/class/mark.svg", "/class/icon-192.png", "/class/icon-512.png", "/class/maskable-512.png"]; // what an installed page needs
    document.querySelectorAll("link[href], script[src], img[src], image[href]").forEach(function (e) {
      wanted.push(e.getAttribute("src") || e.getAttribute("href"));
    });
    if (!/^\/(index\.html)?$/.test(location.pathname)) {
      document.querySelectorAll("main a[href], nav a[href]").forEach(function (a) { wanted.push(a.getAttribute("href")); });
    }
    worker.postMessage({ take: Array.from(new Set(wanted.map(function (w) { return new URL(w, location.href); })
      .filter(function (u) { return u.origin === location.origin; }).map(function (u) { return u.pathname; }))) });
  }

  if (navigator.serviceWorker) {
    navigator.serviceWorker.register("/class/worker.js", { scope: "/" })
      .then(function () { return navigator.serviceWorker.ready; })
      .then(function (registration) { takeAlong(registration.active); })
      .catch(function () {}); // the page works without; it only does not open again while the host is away
  }

  var bar = document.getElementById("ui_clock-bar"); // of a step page, which stays in sight
  if (bar) bar.append(line);
  else document.querySelector("header.top").after(line);
  show();
  run();
})();
