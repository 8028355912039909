// Joins a page to the class host that serves it: sends what the tablet wrote,
// fetches what others wrote on the same job, tells the learner in one line how things stand, and lets the
// page open again without network where the browser can. Only the host puts this script into pages.
(function () {
  "use strict";
  var job = matchmark.job || null; // the job of a step page
  matchmark.host = "here"; // until it is known to be away

  var say = matchmark.words("class");

  // ---- The wire

  // headers say of what type a body is, and which tablet sends it.
  function headers(type) {
    var out = type ? { "Content-Type": type } : {}, token = enrolment && enrolment.token();
    if (token) out.Authorization = "Bearer " + token;
    return out;
  }

  // ask sends one request and gives up after a time, so that a network that swallows everything does not
  // hold up the rest: a photo may take a minute, anything else 20 seconds.
  async function ask(method, path, body, type) {
    var giveUp = new AbortController();
    var timer = setTimeout(function () { giveUp.abort(); }, type === "image/jpeg" ? 60000 : 20000);
    try {
      var reply = await fetch("/class/" + path, {
        method: method, body: body, signal: giveUp.signal, cache: "no-store",
        headers: headers(type),
      });
      var text = await reply.text(), answer = {};
      try { answer = JSON.parse(text || "{}"); } catch (plain) { answer = { problem: text }; }
      return { status: reply.status === 204 ? 200 : reply.status, answer: answer };
    } finally {
      clearTimeout(timer);
    }
  }
  var ended = 0; // when the host's class was ended last
  var wire = {
    hello: async function () {
      var reply = await ask("GET", "hello");
      ended = reply.answer.ended || 0;
      return reply;
    },
    post: function (path, value) { return ask("POST", path, JSON.stringify(value), "application/json"); },
    put: function (path, blob) { return ask("PUT", path, blob, "image/jpeg"); },
  };

  var enrolment = null;
  enrolment = matchmark.enrolment(ask, function () {
    fit();
    show();
    run();
  });

  // A sheet on paper leads back to its page. The site does not know its address; the host does.
  function code(place) {
    ask("GET", "code" + place.dataset.to).then(function (reply) {
      if (reply.status !== 200 || !place.hidden) return;
      var address = matchmark.make("span", { className: "address" }, reply.answer.link);
      place.append(matchmark.picture(reply.answer), matchmark.make("p", {}, place.dataset.says + ":", matchmark.make("br"), address));
      place.hidden = false;
    }, function () {}); // away: the sheet is as it is from a folder
  }
  function codes() { document.querySelectorAll(".sheet-code[data-to][hidden]").forEach(code); }
  codes();
  document.addEventListener("matchmark-sheets", codes); // a whole job has the codes of its sheets when they are there

  // ---- The device

  function keys() {
    try { return Object.keys(localStorage); } catch (refused) { return []; }
  }
  var outbox = matchmark.outbox({
    keys: keys,
    get: matchmark.store.get,
    set: matchmark.store.set,
    photo: matchmark.photos.get,
    took: took,
  }, wire);

  // took takes in what the host makes of a record that was sent: of the job of this page, or of one that is only stored here.
  function took(key, sent, answer) {
    if (job && key === job.key) return answer.job === job.record().job && job.settle(sent, answer);
    if (!matchmark.settle) return false;
    var text = matchmark.store.get(key), mine = matchmark.readRecord(text || "").record, host = matchmark.readRecord(JSON.stringify(answer)).record;
    if (!mine || !host || mine.job !== host.job) return false;
    var settled = matchmark.settle(mine, sent, host);
    matchmark.store.set(key, JSON.stringify(settled));
    return matchmark.canonical(settled) === matchmark.canonical(host);
  }

  // ---- When to send

  var soonest = 1500, latest = 10000; // milliseconds from one try to the next
  var pause = soonest, timer = 0, busy = false, again = false, reached = null;
  var looked = null; // what the host said of this tablet since the page opened

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
      if (enrolment.token() && (!looked || enrolment.state() !== "in")) {
        looked = await enrolment.look();
        fit();
      }
      if (enrolment.state() === "in") {
        await outbox.flush();
        if (over() && !outbox.open().length && !outbox.refused().length && await empty()) return;
        await goOn();
        await listen();
      } else {
        await wire.hello();
      }
      reached = true;
      pause = soonest;
    } catch (unreached) {
      reached = false;
      looked = null; // it may be that the trainer has taken this tablet out
      // A class that all comes back at once is spread out.
      pause = Math.min(latest, pause * 2) * (0.75 + Math.random() / 2);
    }
    busy = false;
    show();
    plan(again && reached ? soonest : reached ? idle() : pause);
  }

  // over says whether the class has ended for this tablet. It is emptied then, once the host has all that it has: names, records,
  // results and photos go, pages stay.
  function over() { return enrolment.before(ended); }
  async function empty() {
    var reply = await ask("POST", "leave");
    if (reply.status !== 200 || outbox.open().length) return false; // something was written meanwhile
    if (job) job.close();
    await matchmark.photos.clear();
    matchmark.store.keys().forEach(function (key) { if (/^matchmark\./.test(key) && key !== "matchmark.theme") matchmark.store.remove(key); });
    var start = /^\/(index\.html)?$/.test(location.pathname);
    location.replace("/#emptied");
    if (start) location.reload();
    return true;
  }

  // idle is how long to wait while nothing changes here: a hold point that waits for its signature, or work that stops, is looked
  // after often, and so is the trainer's word on whether this tablet may come in.
  function idle() { return waiting() || enrolment.state() === "asks" || outbox.held() ? 2000 : 10000; }

  function waiting() {
    if (!job) return false;
    if (job.stops(job.signed).length) return true;
    var me = (job.record().tablets || {})[(JSON.parse(matchmark.store.get("matchmark.tablet") || "{}") || {}).name];
    return Boolean(me && me.waits);
  }

  // listen fetches what others, the trainer among them, wrote on the job.
  var seen = "";
  async function listen() {
    if (!job || job.fresh() && !waiting()) return; // the host knows no job that nobody began
    var reply = await fetch("/class/record/" + job.record().job, { cache: "no-store", headers: Object.assign(headers(), seen ? { "If-None-Match": seen } : {}) });
    if (reply.status === 401) looked = null; // the trainer has taken this tablet out
    if (reply.status !== 200) return;
    seen = reply.headers.get("ETag") || "";
    job.take(await reply.json());
    await fetchPhotos();
  }

  // fetchPhotos gets the photos that other tablets made, so that they show here and are in the file that is saved here.
  var fetched = {}; // photos that are here
  async function fetchPhotos() {
    var record = job.record();
    for (var name of Object.keys(record.photos || {})) {
      if (fetched[name]) continue;
      if (!await matchmark.photos.get(name)) {
        var reply = await fetch("/class/photo/" + record.job + "/" + name, { cache: "no-store", headers: headers() });
        if (reply.status !== 200) continue;
        await matchmark.photos.take(name, await reply.blob());
      }
      fetched[name] = true;
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

  var words = document.createElement("span"), door = document.createElement("button");
  door.type = "button";
  door.id = "ui_class-door";
  door.addEventListener("click", enrolment.open);
  words.setAttribute("role", "status");
  line.append(words, door);

  function show() {
    var refused = outbox.refused(), left = outbox.open().length, held = outbox.held(), state = enrolment.state(), text, sign;
    if (!state) {
      text = reached === false ? say("away") : location.hash === "#emptied" ? say("emptied") : say("stranger");
      sign = reached === false ? "away" : "stranger";
    } else if (refused.length) {
      text = (over() ? say("over") + " " : "") + say("refused", refused[0].problem, refused[0].do);
      sign = "refused";
    } else if (reached === false) {
      text = left ? say.count("waits", left) : say("away");
      sign = "away";
    } else if (state === "asks" || held) {
      text = state === "asks" ? say("asks") : over() ? say("over") + " " + [held.problem, held.do].join(" ") : [held.problem, held.do].join(" ");
      sign = "stranger";
    } else {
      text = reached === null ? say("looking") : left ? say("sending") : outbox.any() ? say("sent") : say("joined");
      sign = reached === null || left ? "sending" : "sent";
    }
    line.dataset.state = sign;
    var there = state !== "in" || reached === false ? "away" : "here";
    if (there !== matchmark.host) {
      matchmark.host = there;
      document.dispatchEvent(new CustomEvent("matchmark:host"));
    }
    if (words.textContent !== text) words.textContent = text;
    var name = !state ? say("enter") : reached === false ? say("moved") : say("tablet", enrolment.number());
    if (door.textContent !== name) door.textContent = name;
    if (!state) door.className = "main";
    else door.className = "";
  }

  // fit puts the learner of this tablet, and the machine, where they are asked for.
  function fit() {
    var name = enrolment.learner(), quiz = document.getElementById("quiz-learner"), machine = matchmark.store.get("matchmark.machine");
    if (quiz && name && !quiz.value) {
      quiz.value = name;
      quiz.dispatchEvent(new Event("input", { bubbles: true }));
    }
    if (!job || !enrolment.token()) return;
    if (job.learner() !== name) job.nameLearner(name);
    if (machine && job.fresh() && !job.machine()) job.nameMachine(machine);
  }

  // giveCode has the host sign a hold point, by the code that the board shows for it. It gives what is wrong, if anything.
  matchmark.giveCode = async function (key, code) {
    await outbox.flush();
    var reply = await ask("POST", "sign", JSON.stringify({ job: job.record().job, key: key, code: code }), "application/json");
    if (reply.status !== 200) return reply.answer;
    await listen();
    return {};
  };

  // ---- A job that another tablet began

  // goOn goes on with a job of this tablet's that the host has and that is not the one which is open: the one that it was
  // invited to, or while nothing was done here the last that it worked on.
  async function goOn() {
    if (!job) return;
    var invited = matchmark.store.get("matchmark.joined"), own = job.record();
    if (!invited && !(job.fresh() && looked)) return;
    var mine = invited ? await enrolment.look() : looked;
    var other = ((mine || {}).jobs || []).find(function (j) {
      return j.procedure === own.procedure && j.variant === (own.variant || "") && (invited ? j.job === invited : true);
    });
    if (!other) return;
    if (other.job !== own.job) {
      var reply = await ask("GET", "record/" + other.job);
      if (reply.status !== 200 || !job.join(reply.answer)) return;
    }
    matchmark.store.remove("matchmark.joined");
    again = true;
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
