// The trainer's board. The host tells what the class does; this draws it, newest
// and most urgent first, and signs hold points. Nothing from a tablet is ever put in as markup.
(function () {
  "use strict";
  var title = document.title, lang = document.documentElement.lang;
  var say = matchmark.words("board");
  function byId(id) { return document.getElementById(id); }

  // ---- The wire

  var patience = 10000, patienceForWork = 60000; // milliseconds; a copy of the records takes its time

  // within gives up after a time, so that a network which swallows everything does not hold up the board.
  function within(time) {
    var giveUp = new AbortController();
    setTimeout(function () { giveUp.abort(); }, time);
    return giveUp.signal;
  }

  // ask gives {status, answer}; the promise fails when the host is not reached.
  function ask(method, path, body) { return request(method, path, body === undefined ? undefined : JSON.stringify(body), "application/json"); }
  async function request(method, path, body, type) {
    var reply = await fetch("/board/" + path, {
      method: method, cache: "no-store", signal: within(method === "GET" ? patience : patienceForWork), body: body,
      headers: body === undefined ? {} : { "Content-Type": type },
    });
    var text = await reply.text(), answer = {};
    try { answer = JSON.parse(text || "{}"); } catch (plain) { answer = { problem: text }; }
    return { status: reply.status, answer: answer };
  }
  function problem(reply) { return [reply.answer.problem, reply.answer.do].filter(Boolean).join(" "); }

  // ---- Small pieces

  function element(name, className, text) {
    var made = document.createElement(name);
    if (className) made.className = className;
    if (text !== undefined && text !== "") made.textContent = text;
    return made;
  }
  function link(to, text, className) {
    var a = element("a", className, text);
    a.href = to;
    return a;
  }
  function button(text, act, className) {
    var made = element("button", className, text);
    made.type = "button";
    made.addEventListener("click", act);
    return made;
  }
  function clock(at) { return new Date(at).toLocaleTimeString(lang, { hour: "2-digit", minute: "2-digit" }); }
  function minutes(since) { return Math.max(0, Math.floor((state.now - since) / 60000)); }
  function nameOf(learner) { return learner || say("unnamed"); }
  function machineOf(job) { return [job.machine || say("machine"), job.variantName || job.variant].filter(Boolean).join(" · "); }

  // ---- What the class does

  var state = null, etag = "", shown = {};
  // board is what the script of the class needs of this one.
  matchmark.board = {
    ask: ask, send: function (path, text, type) { return request("POST", path, text, type); }, problem: problem, element: element, link: link, button: button,
    fill: fill, refresh: function () { refresh(); }, state: function () { return state; }, jobMenu: function () { return ""; },
    waiting: [], sign: function (w) { openSign(w); },
    cards: {
      wait: function (w) { return waitCard(w); },
      job: function (job) { return jobCard({ job: job, silent: job.tablets.map(function (t) { return minutes(t.at); }) }); },
      finding: function (job, f) { return findingCard(findingOf(job, f)); },
    },
  };

  // fill draws a part only when what it shows has changed, so that a finger on its way to a button finds it.
  function fill(id, what, draw, nothing) {
    var mark = JSON.stringify(what);
    if (shown[id] === mark) return;
    shown[id] = mark;
    byId(id).replaceChildren.apply(byId(id), what.length ? draw(what) : [element("p", "soft", nothing)]);
  }

  function draw() {
    var waiting = [], live = state.jobs.filter(function (job) { return !job.void; }), voided = state.jobs.filter(function (job) { return job.void; });
    live.forEach(function (job) {
      job.holds.forEach(function (hold) {
        if (!hold.waitingSince && !hold.unproved && !hold.broken || hold.signed) return;
        var who = job.tablets.filter(function (t) { return t.waits === hold.key; }).map(function (t) { return nameOf(t.learner); }).join(", ");
        var since = hold.waitingSince || hold.unprovedAt;
        waiting.push({ job: job, hold: hold, who: who, minutes: since ? minutes(since) : 0 });
      });
    });
    waiting.sort(function (a, b) { return a.hold.waitingSince - b.hold.waitingSince; });
    matchmark.board.waiting = waiting;
    announce(waiting);
    document.title = (waiting.length ? "(" + waiting.length + ") " : "") + title;
    fill("ui_waits", waiting, function (list) { return list.map(waitCard); }, say("waits-none"));
    fill("ui_jobs", live.map(function (job) {
      return { job: job, silent: job.tablets.map(function (t) { return minutes(t.at); }) };
    }).concat(state.bare || []), function (list) {
      return list.map(function (x) { return x.job ? jobCard(x) : element("p", "soft", say.count("jobs-bare", x)); });
    }, say("jobs-none"));
    fill("ui_voided", voided, function (list) { return list.map(voidCard); }, "");
    byId("ui_voided-part").hidden = !voided.length;
    var findings = [];
    live.forEach(function (job) {
      job.findings.forEach(function (f) { findings.push(findingOf(job, f)); });
    });
    findings.sort(function (a, b) {
      return Number(a.f.withdrawn) - Number(b.f.withdrawn) || Number(Boolean(a.f.repaired)) - Number(Boolean(b.f.repaired)) ||
        Number(b.f.severity === "stops-work") - Number(a.f.severity === "stops-work") || b.f.at - a.f.at;
    });
    fill("ui_findings", findings, function (list) { return list.map(findingCard); }, say("findings-none"));
    fill("ui_results", quizzes(), function (list) { return list.map(quizCard); }, say("results-none"));
    document.dispatchEvent(new CustomEvent("matchmark:board", { detail: state }));
  }

  var announced = {};
  function announce(waiting) {
    waiting.forEach(function (w) {
      var key = w.job.job + " " + w.hold.key;
      if (announced[key]) return;
      announced[key] = true;
      byId("ui_announce").textContent = w.hold.finding ? say("stop-announce", machineOf(w.job), w.hold.title) : say("announce", machineOf(w.job), w.hold.title);
    });
  }

  function waitCard(w) {
    var card = element("article", "board-card waiting");
    var head = element("div", "board-card-head");
    head.append(element("h3", "", machineOf(w.job)), element("p", "board-since", w.minutes ? say.count("since", w.minutes) : say("since-now")));
    card.append(head, element("p", "", what(w)), element("p", "soft", w.who));
    var open = w.hold.confirmations.filter(function (c) { return !c.given; }).length;
    if (open) card.append(element("p", "board-open", say.count("not-given", open)));
    if (w.hold.finding) card.append(element("p", "board-open", say("stop-say")));
    if (w.hold.unproved) card.append(element("p", "board-open", unproved(w.hold)));
    else if (w.hold.broken) card.append(element("p", "board-open", say("broken", w.hold.broken)));
    if (w.hold.known) card.append(button(w.hold.finding ? say("stop-look") : say("look-and-sign"), function () { openSign(w); }, "main"));
    else card.append(element("p", "board-open", say("not-known")));
    return card;
  }

  // what names a hold point, or what a finding says that stops the work.
  function found(w) { return w.job.findings.find(function (f) { return f.name === w.hold.finding; }); }
  function what(w) {
    var f = found(w);
    return f ? say("stop", f.thing, say("kind." + f.kind)) : say("hold", w.hold.stepTitle || w.hold.step, w.hold.title);
  }
  function unproved(hold) { return say("unproved", hold.unproved, clock(hold.unprovedAt), nameOf(hold.unprovedBy)); }

  function jobCard(entry) {
    var job = entry.job, card = element("article", "board-card");
    var head = element("div", "board-card-head");
    head.append(element("h3", "", machineOf(job)), element("p", "soft", say("begun", clock(job.begun))));
    card.append(head, element("p", "soft", job.title));
    var list = element("ul", "board-tablets");
    job.tablets.forEach(function (t, i) {
      var line = element("li", entry.silent[i] >= 3 ? "silent" : "");
      line.append(element("strong", "", nameOf(t.learner)), " ", where(t));
      if (entry.silent[i] >= 3) line.append(" ", element("span", "board-silent", say("silent", entry.silent[i])));
      var bar = element("progress");
      bar.max = t.of || 1;
      bar.value = t.step === "ui_end" ? t.of : Math.max(0, (t.number || 1) - 1);
      bar.setAttribute("aria-label", where(t));
      line.append(bar);
      list.append(line);
    });
    card.append(list);
    var signed = job.holds.filter(function (h) { return h.signed; });
    signed.forEach(function (h) { card.append(element("p", "board-signed", h.finding ? h.title + ": " + say("looked", nameOf(h.signed.name), clock(h.signed.at)) : say("signed", h.title, nameOf(h.signed.form === 2 ? h.signed.name : h.signed.who), clock(h.signed.at)))); });
    var ways = element("p", "board-links");
    ways.append(link("/board/workorder/" + job.job, say("workorder")), link("/board/record/" + job.job, say("record")));
    card.append(ways, matchmark.board.jobMenu(job));
    return card;
  }

  function voidCard(job) {
    var card = element("article", "board-card");
    card.append(element("h3", "", machineOf(job)), element("p", "soft", job.title + " · " + say("begun", clock(job.begun))), matchmark.board.jobMenu(job));
    return card;
  }

  function where(t) {
    var way = t.way === "back" ? say("way-back") : say("way-out");
    if (t.step === "ui_end") return say("at-end", way);
    if (t.number) return say("at", way, t.number, t.of, t.stepTitle);
    return t.step ? way + ", " + t.step : way; // a step of another edition, or none yet
  }

  function findingOf(job, f) { return { job: { job: job.job, machine: machineOf(job) }, f: f, look: (job.holds.find(function (h) { return h.finding === f.name; }) || {}).signed }; }
  function findingCard(entry) {
    var f = entry.f, card = element("article", "board-card finding " + (f.withdrawn || f.repaired ? "repaired" : f.severity));
    var head = element("div", "board-card-head");
    head.append(element("h3", "", say("finding", f.thing, say("kind." + f.kind))), element("p", "soft", clock(f.at)));
    card.append(head);
    card.append(element("p", "board-severity", f.withdrawn ? say("withdrawn-by", nameOf(f.withdrawnBy), clock(f.withdrawnAt)) : f.repaired ? say("repaired") : entry.look ? say("looked", nameOf(entry.look.name), clock(entry.look.at)) : say("severity." + f.severity)));
    if (f.words) card.append(element("p", "", f.words));
    if (f.repair) card.append(element("p", "", say("repair", f.repair)));
    if (f.severity === "before-refit" && !f.repaired) card.append(element("p", "soft", f.beforeTitle ? say("before", f.beforeTitle) : say("before-back")));
    card.append(element("p", "soft", entry.job.machine + " · " + nameOf(f.by)));
    if (f.photos && f.photos.length) {
      var row = element("p", "board-photos");
      f.photos.forEach(function (name, i) {
        row.append(photo("/board/photo/" + entry.job.job + "/" + name, say("photo", i + 1)));
      });
      card.append(row);
    }
    return card;
  }

  // photo gives a photo, or words in its place until it comes from its tablet, which may be far behind its finding.
  function photo(at, alt) {
    var a = link(at, ""), img = element("img"), later = element("span", "soft", say("photo-later"));
    img.alt = alt;
    img.loading = "lazy";
    img.addEventListener("load", function () { later.replaceWith(a); });
    img.addEventListener("error", function () {
      a.replaceWith(later);
      setTimeout(function () { 
        img.loading = "eager"; // it stands nowhere yet
        if (later.isConnected) img.src = at;
      }, 5000);
    });
    img.src = at;
    a.append(img);
    return a;
  }

  // quizzes groups the results by quiz, in the order in which the first of each came.
  function quizzes() {
    var groups = [];
    state.results.forEach(function (r) {
      var group = groups.find(function (g) { return g.quiz === r.quiz; });
      if (!group) groups.push(group = { quiz: r.quiz, title: r.title, results: [] });
      group.results.push(r);
    });
    return groups;
  }

  function quizCard(group) {
    var card = element("article", "board-card"), passed = group.results.filter(function (r) { return r.passed; }).length;
    card.append(element("h3", "", group.title), element("p", "", say("passed", passed, group.results.filter(function (r) { return r.marked; }).length)), tally(group.results));
    var table = element("table", "board-results"), head = element("tr"), body = element("tbody"), top = element("thead");
    [say("learner"), say("score"), say("when")].forEach(function (text, i) {
      var cell = element("th", i ? "numbers" : "", text);
      cell.scope = "col";
      head.append(cell);
    });
    group.results.slice(0, 60).forEach(function (r) {
      var line = element("tr");
      line.append(element("td", "", nameOf(r.learner)), element("td", "numbers", !r.marked ? say("score-unmarked") : r.passed ? say("score-passed", r.score) : say("score-failed", r.score)), element("td", "numbers", clock(r.at)));
      body.append(line);
    });
    top.append(head);
    table.append(top, body);
    card.append(table);
    if (group.results.length > 60) card.append(element("p", "soft", say("more", group.results.length - 60)));
    var ways = element("p", "board-links");
    ways.append(link("/board/results/" + group.quiz, say("analysis"), "button"), link("/quiz/" + group.quiz + "/key.html", say("key")));
    card.append(ways);
    return card;
  }

  // tally draws a bar for each try, the best first: as high as its score, full when passed.
  function tally(results) {
    var bars = element("p", "board-tally");
    bars.setAttribute("aria-hidden", "true");
    results.slice().sort(function (a, b) { return b.score - a.score; }).forEach(function (r) {
      var bar = element("i", !r.marked ? "unmarked" : r.passed ? "passed" : "failed");
      bar.style.height = (r.marked ? Math.max(6, r.score) : 100) + "%";
      bars.append(bar);
    });
    return bars;
  }

  // ---- Signing

  var signing = null;
  function openSign(w) {
    signing = w;
    var f = found(w);
    byId("ui_sign-where").textContent = machineOf(w.job) + " · " + what(w);
    byId("ui_sign-list").replaceChildren.apply(byId("ui_sign-list"), f ? [f.words, f.repair].filter(Boolean).map(function (text) { return element("li", "", text); }) : w.hold.confirmations.map(function (c) {
      return element("li", c.given ? "given" : "open", c.text + (c.given ? "" : " – " + say("open")));
    }));
    byId("ui_sign-title").textContent = f ? say("stop-title") : say("sign-title");
    byId("ui_sign-problem").textContent = byId("ui_sign-code").textContent = "";
    byId("ui_sign-unproved").textContent = w.hold.unproved ? unproved(w.hold) : "";
    byId("ui_sign-yes").disabled = byId("ui_sign-show").disabled = w.hold.confirmations.some(function (c) { return !c.given; });
    byId("ui_sign-yes").textContent = f ? say("stop-yes", state.trainer) : say("sign-as", state.trainer);
    byId("ui_sign").showModal();
    byId("ui_sign-title").focus();
  }
  byId("ui_sign-no").addEventListener("click", function () { byId("ui_sign").close(); });
  byId("ui_sign-show").addEventListener("click", async function () {
    try {
      var reply = await ask("POST", "code", { job: signing.job.job, key: signing.hold.key });
      byId("ui_sign-code").textContent = reply.status === 200 ? say("code", reply.answer.code) : "";
      byId("ui_sign-problem").textContent = reply.status === 200 ? "" : problem(reply);
    } catch (unreached) {
      byId("ui_sign-problem").textContent = say("unreached");
    }
  });
  byId("ui_sign-yes").addEventListener("click", async function () {
    try {
      var reply = await ask("POST", "sign", { job: signing.job.job, key: signing.hold.key });
      if (reply.status === 200) byId("ui_sign").close();
      else byId("ui_sign-problem").textContent = problem(reply);
    } catch (unreached) {
      byId("ui_sign-problem").textContent = say("unreached");
    }
    refresh();
  });

  // ---- Learners

  async function learners() {
    var reply = await ask("GET", "learners");
    if (reply.status !== 200) return;
    fill("ui_learners", reply.answer, function (list) {
      var lines = element("ul", "board-learners");
      list.forEach(function (person) {
        var line = element("li");
        line.append(element("span", "", [person.name, person.team, person.own, person.trainer ? say("trainer") : ""].filter(Boolean).join(" · ")),
          link("/board/learner/export?id=" + person.id, say("export"), "button"), button(say("forget"), function () { openForget(person); }));
        lines.append(line);
      });
      return [lines];
    }, say("learners-none"));
  }

  var forgetting = "";
  function openForget(person) {
    forgetting = person.id;
    byId("ui_forget-title").textContent = say("forget-title", person.name);
    byId("ui_forget-problem").textContent = "";
    if (byId("ui_forget-backups")) byId("ui_forget-backups").checked = false; // not where the copies are somebody else's
    byId("ui_forget").showModal();
    byId("ui_forget-title").focus();
  }
  byId("ui_forget-no").addEventListener("click", function () { byId("ui_forget").close(); });
  byId("ui_forget-yes").addEventListener("click", async function () {
    try {
      var reply = await ask("POST", "learner/delete", { id: forgetting, copies: Boolean(byId("ui_forget-backups") && byId("ui_forget-backups").checked) });
      if (reply.status !== 200) {
        byId("ui_forget-problem").textContent = problem(reply);
        return;
      }
      byId("ui_forget").close();
      byId("ui_learners-done").textContent = reply.answer.left.length ? reply.answer.words + " " + reply.answer.left.join(", ") : "";
      refresh();
    } catch (unreached) {
      byId("ui_forget-problem").textContent = say("unreached");
    }
  });

  if (byId("ui_backup")) byId("ui_backup").addEventListener("click", async function () {
    var done = byId("ui_backup-done");
    try {
      var reply = await ask("POST", "backup", {});
      done.textContent = reply.status === 200 ? say("backup-done", reply.answer.file) : problem(reply);
    } catch (unreached) {
      done.textContent = say("unreached");
    }
  });

  // ---- PIN

  function outside() {
    byId("ui_board").hidden = byId("ui_who").hidden = true;
    byId("ui_pin-form").hidden = false;
    document.querySelectorAll("dialog[open]").forEach(function (dialog) { dialog.close(); });
    byId("ui_reach").textContent = "";
    hangUp();
    visit++;
    state = null;
    etag = "";
    shown = {};
  }

  byId("ui_pin-form").addEventListener("submit", async function (event) {
    event.preventDefault();
    var wrong = byId("ui_pin-problem");
    wrong.textContent = "";
    try {
      var reply = await ask("POST", "pin", { who: byId("ui_pin-who").value.trim(), pin: byId("ui_pin").value });
      byId("ui_pin").value = "";
      if (reply.status === 200) {
        var to = new URLSearchParams(location.search).get("to") || ""; // the page that asked for the PIN
        if (/^\/(quiz|board)(\/[a-z0-9-]+)+(\.html|\/)?$/.test(to)) location.replace(to);
        else refresh();
        return;
      }
      wrong.textContent = problem(reply);
      byId("ui_pin").focus();
    } catch (unreached) {
      wrong.textContent = say("unreached");
    }
  });
  byId("ui_leave").addEventListener("click", async function () {
    try { await ask("POST", "leave", {}); } catch (unreached) { /* the session ends by itself */ }
    outside();
  });

  // ---- Keeping up

  // The host tells of a change as it comes. While it does not, the board asks every other second; while it
  // does, now and then all the same: waiting times grow, and a network that is gone says nothing.
  var quick = 2000, calm = 15000, unseen = 10000, refusedFor = 30000; // milliseconds
  var timer = 0, busy = false, stale = false, visit = 0;
  var ahead = 0; // the host's clock against this one's, milliseconds

  async function refresh() {
    stale = true;
    if (busy) return;
    busy = true;
    while (stale) {
      stale = false;
      await look();
    }
    busy = false;
    plan();
  }

  function plan() {
    clearTimeout(timer);
    if (state || document.body.classList.contains("unreached")) timer = setTimeout(refresh, told() ? calm : document.hidden ? unseen : quick);
  }

  async function look() {
    var now = visit, why = "";
    try {
      var reply = await fetch("/board/state", { cache: "no-store", signal: within(patience), headers: etag ? { "If-None-Match": etag } : {} });
      var fresh = reply.status === 200 ? await reply.json() : null;
      if (now !== visit) return; // somebody left the board meanwhile
      document.body.classList.remove("unreached");
      if (reply.status === 401) {
        outside();
        return;
      }
      if (fresh) {
        etag = reply.headers.get("ETag") || "";
        state = fresh;
      } else if (reply.status === 304) {
        state.now = Date.now() + ahead;
      } else {
        why = problem({ answer: await reply.json() });
        throw new Error("the host answers " + reply.status);
      }
      ahead = state.now - Date.now();
      byId("ui_pin-form").hidden = true;
      byId("ui_board").hidden = byId("ui_who").hidden = false;
      byId("ui_who-name").textContent = state.trainer;
      byId("ui_reach").textContent = state.away ? say("away", clock(state.away)) : say("live");
      document.body.classList.toggle("unreached", Boolean(state.away));
      if (byId("ui_all-open")) byId("ui_all-open").hidden = state.role === "trainer";
      draw();
      listen();
      if (fresh && !state.away) await learners();
    } catch (unreached) {
      byId("ui_reach").textContent = why || say("unreached");
      document.body.classList.add("unreached");
      hangUp(); // what does not answer tells nothing either
    }
  }

  // A board that nobody looks at is not told of changes: a browser opens few connections to one address.
  var stream = null, notBefore = 0;
  function listen() {
    if (stream || document.hidden || !window.EventSource || Date.now() < notBefore) return;
    stream = new EventSource("/board/events");
    stream.addEventListener("message", refresh);
    stream.addEventListener("error", function () {
      if (stream && stream.readyState === EventSource.CLOSED) { // refused: too many boards listen
        hangUp();
        notBefore = Date.now() + refusedFor;
      }
      plan();
    });
  }
  function hangUp() {
    if (stream) stream.close();
    stream = null;
  }
  function told() { return Boolean(stream) && stream.readyState === EventSource.OPEN; }
  document.addEventListener("visibilitychange", function () {
    if (document.hidden) {
      hangUp();
      plan();
    } else {
      refresh();
    }
  });

  refresh();
})();
