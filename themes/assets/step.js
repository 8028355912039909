// The step view: shows one step at a time, keeps what is ticked, and keeps
// "next" shut while a hold point is not confirmed.
(function () {
  "use strict";
  var say = matchmark.words("step");
  var plan = JSON.parse(document.getElementById("ui_job").textContent);
  plan.things = plan.things.map(function (row) { return { id: row[0], name: row[1], no: row[2] }; });
  plan.back = plan.back.map(function (row) { return { id: row[0], title: row[1], fits: row.slice(2) }; });
  var job = matchmark.openJob(plan, matchmark.store, Date.now);
  var articles = all(byId("ui_steps"), ".step"); // the closing page is the last
  var start = 0; // minutes into the job at which a step begins by plan
  var steps = plan.steps.map(function (times, i) {
    var step = { id: articles[i].id, low: times[0], likely: times[1], high: times[2], mean: times[3], start: start, plan: matchmark.spell(times[1]) };
    start += step.mean;
    return step;
  });
  var last = steps.length; // index of the closing page
  var current = -1;
  var asked = false; // "next" has asked about open actions once
  var lost = 0; // files that did not come
  var reading = false; // the address led ahead of where the job stands, and nobody has said that this is where the work is

  function byId(id) { return document.getElementById(id); }
  function all(root, selector) { return Array.from(root.querySelectorAll(selector)); }

  // ---- What is open

  function given(input) {
    if (input.dataset.decide) return Boolean(job.confirmed(input.dataset.decide));
    if (input.dataset.measure) return Boolean(matchmark.number(input.value));
    if (input.dataset.hold && signatures.signed(input.dataset.hold)) return true;
    return input.type === "checkbox" ? input.checked : input.value.trim() !== "";
  }
  function not(test) { return function (x) { return !test(x); }; }
  // counted lists what counts of a step: nothing of what is left out.
  function counted(i, selector) {
    if (found.skips(i)) return [];
    return all(articles[i], selector).filter(function (input) { return !found.off(input); });
  }
  function openTicks(i) { return counted(i, "[data-tick], [data-measure], [data-decide][value=yes]").filter(not(given)); }
  function repairs(i) { return all(articles[i], "[data-repair]").filter(not(given)); }
  // missing lists what shuts "next": repairs before the step, confirmations behind it.
  function missing(i) { return repairs(i).concat(counted(i, "[data-hold]").filter(not(given))); }
  function done(i) { return found.skips(i) || job.passed(steps[i].id) && !missing(i).length && !openTicks(i).length; }

  // holdBefore gives the first step before i whose hold point is not confirmed, or -1.
  function holdBefore(i) {
    for (var k = 0; k < i && k < last; k++) if (missing(k).length) return k;
    return -1;
  }

  // stands gives the step that the job has come to.
  function stands() {
    var open = steps.findIndex(function (step, k) { return !found.skips(k) && !job.passed(step.id); });
    return Math.max(open < 0 ? last : open, steps.findIndex(function (step) { return step.id === job.step(); }));
  }
  function readsAhead(i) { return reading || holdBefore(i) >= 0; }

  // keepPlace keeps for the start page where this job stands.
  function keepPlace(i, done) {
    matchmark.store.set("matchmark.place." + location.pathname.split("/").slice(-2).join("/"), JSON.stringify({ number: i + 1, of: last, done: done, at: Date.now(), title: document.title }));
  }

  // ---- Showing a step

  function show(i, how) {
    var changed = i !== current;
    current = i;
    asked = false;
    articles.forEach(function (article, k) { article.classList.toggle("shown", k === i); });
    byId("ui_end").hidden = i !== last;
    if (i < last) {
      if (!readsAhead(i)) job.goTo(steps[i].id); // no time runs on a step that is read ahead
    } else if (holdBefore(i) < 0 && steps.every(function (step, k) { return found.skips(k) || job.passed(step.id); })) {
      job.end(); // whoever only reads ahead is not through
      keepPlace(last, true);
    }
    if (i < last && !readsAhead(i)) keepPlace(i, false);
    refresh();
    if (!changed) return;
    // Steps begin below the way back to the overview, which leaves them more room.
    window.scrollTo(0, byId("ui_main").offsetTop);
    if (how === "first") return;
    // In a frame beside a text that somebody writes, the page follows; it takes no key away.
    if (parent === window || document.hasFocus()) articles[i].querySelector("h2").focus({ preventScroll: true });
    page.turned();
    byId("ui_announce").textContent = i < last ? say("announce", i + 1, last, titleOf(i)) : titleOf(i);
  }

  // titleOf gives a step's title without the words before it that only a screen reader needs.
  function titleOf(i) { return articles[i].querySelector("h2").lastChild.textContent; }

  function go(i) {
    if (i < 0 || i > last) return;
    reading = reading && i > stands();
    history.pushState(null, "", "#" + articles[i].id);
    show(i);
  }

  // fromAddress shows the step that the address names; it may name a row of it.
  function fromAddress(how) {
    var target = byId(decodeURIComponent(location.hash.slice(1)));
    var article = target && target.closest(".step");
    var i = article ? articles.indexOf(article) : -1;
    if (i < 0 && how === "first") i = Math.max(0, steps.findIndex(function (s) { return s.id === job.step(); }));
    if (i < 0) return;
    reading = how === "first" && i < last && i > stands();
    show(i, how);
    if (target && target !== article && target.classList.contains("row")) pointAtRow(target);
  }

  function next() {
    var holes = missing(current);
    if (current === last) return;
    if (mending.stopped()) {
      byId("ui_notices").scrollIntoView({ block: "nearest" });
      return;
    }
    if (!readsAhead(current)) {
      if (holes.length) {
        holes.forEach(function (input) { input.closest(".row").classList.add("missing"); });
        holes[0].focus();
        holes[0].closest(".row").scrollIntoView({ block: "center" });
        return;
      }
      if (found.shut(current)) return refreshBar();
      if (openTicks(current).length && !asked) {
        asked = true;
        refreshBar();
        return;
      }
      if (!found.skips(current)) job.pass(steps[current].id);
      return go(found.next(current));
    } else if (current + 1 === last) {
      return; // the end is behind the hold point too
    }
    go(current + 1);
  }

  // nothingFound stands in where nothing depends on what is found.
  function nothingFound() {
    function no() { return false; }
    function empty() { return ""; }
    return {
      skips: no, off: no, refresh: no, tick: no, fillIn: no, shut: empty, barred: empty, running: function () { return []; },
      next: function (i) { return i + 1; }, back: function (i) { return i - 1; },
    };
  }

  // ---- Refreshing what the page says

  function refresh() {
    mending.refresh();
    signatures.refresh();
    keeping.refresh();
    found.refresh();
    if (current < 0) return; // not shown yet
    lock();
    refreshBar();
    refreshBalloons();
    refreshNotices();
    refreshClock();
    if (current === last) showEnd();
    acts.refresh();
  }

  // lock keeps what may not be ticked yet: ahead of a hold point nothing, before a repair the step's own
  // work. A value may be read off again, since that can make the repair needless.
  function lock() {
    var bar = current < last && (found.skips(current) || found.barred(current) !== "");
    var ahead = readsAhead(current) || bar, waits = ahead || repairs(current).length > 0;
    all(articles[current], "[data-tick], [data-hold], [data-decide]").forEach(function (input) { input.disabled = waits || found.off(input) || signatures.shut(input.dataset.hold); });
    all(articles[current], "[data-repair], [data-measure]").forEach(function (input) { input.disabled = ahead || found.off(input); });
  }

  function refreshBar() {
    var ahead = readsAhead(current);
    var atEnd = current === last;
    var holes = atEnd || ahead ? [] : missing(current);
    var ticks = atEnd ? 0 : counted(current, "[data-tick], [data-measure], [data-decide][value=yes]").length;
    var open = atEnd ? 0 : openTicks(current).length, barred = atEnd || ahead ? "" : found.shut(current);
    var stopped = !atEnd && mending.stopped();
    var shut = stopped || barred !== "" || holes.length > 0 || (ahead && current + 1 === last);
    var state = byId("ui_state");
    if (atEnd) state.textContent = "";
    else if (stopped) state.textContent = say("stopped");
    else if (repairs(current).length && !ahead) state.textContent = say.count("shut-repairs", repairs(current).length);
    else if (barred) state.textContent = barred;
    else if (!atEnd && found.skips(current)) state.textContent = say("left-out");
    else if (holes.length) state.textContent = say.count("shut", holes.length);
    else if (asked && open) state.textContent = say.count("open", open);
    else if (ticks) state.textContent = say("ticked", ticks - open, ticks);
    else if (!ahead && articles[current].querySelector(".hold")) state.textContent = say("confirmed");
    else state.textContent = say("nothing");
    state.classList.toggle("asks", shut || asked);
    byId("ui_back").disabled = current === 0;
    byId("ui_next").hidden = atEnd;
    byId("ui_next").setAttribute("aria-disabled", String(shut));
    byId("ui_next").classList.toggle("i-shut", shut);
    byId("ui_next").classList.toggle("i-next", !shut);
    byId("ui_next-word").textContent = asked && open ? say("next-anyway") : current + 1 === last ? say("finish") : say("next");
    byId("ui_place").textContent = atEnd ? say("end") : say("place", current + 1, last);
  }

  // A balloon gets the paint stroke, like its row, once all is done to its fastener.
  function refreshBalloons() {
    all(articles[current], ".balloon").forEach(function (balloon) {
      var rows = all(articles[current], ".row[data-thing]").filter(function (row) { return row.dataset.thing === balloon.dataset.thing; });
      var boxes = rows.map(function (row) { return row.querySelector("input"); }).filter(Boolean);
      balloon.classList.toggle("ticked", boxes.length > 0 && boxes.every(given));
    });
  }

  function refreshNotices() {
    var lines = [];
    var hold = holdBefore(current);
    if (hold >= 0) lines.push([say("ahead-of-hold", hold + 1), say("to-hold", hold + 1), function () { go(hold); }]);
    else if (reading) lines.push([say("reading", current + 1, stands() + 1), say("here"), here]);
    if (lost) lines.push([say.count("lost", lost), say("load-again"), function () { location.reload(); }]);
    mending.stops().forEach(function (line) { lines.push(line); });
    found.running().forEach(function (words) { lines.push([words]); });
    if (!job.kept) lines.push([say("not-kept"), say("save-file"), keeping.saveFile]);
    else if (page.scarce) lines.push([page.scarce, say("save-file"), keeping.saveFile]);
    if (job.unread) lines.push([say("unread"), say("save-unread"), keeping.saveUnread]);
    if (job.otherText() !== null) lines.push([say("other-text", job.otherText()), say("seen"), job.seeText]);
    if (!job.running() && current !== last) lines.push([job.away ? say("away") : say("paused"), say("go-on"), function () { job.run(true); refresh(); }]);
    var text = JSON.stringify(lines);
    var box = byId("ui_notices");
    if (box.dataset.text === text) return; // do not read the same out again
    box.dataset.text = text;
    box.replaceChildren.apply(box, lines.map(notice));
  }

  function here() {
    reading = false;
    show(current);
  }

  function notice(line) {
    var p = document.createElement("p");
    p.className = "notice-line " + (line[3] || "");
    p.append(line[0]);
    if (line[1]) {
      var button = document.createElement("button");
      button.type = "button";
      button.textContent = line[1];
      button.addEventListener("click", line[2]);
      p.append(button);
    }
    return p;
  }

  // ---- Clock

  function two(n) { return String(n).padStart(2, "0"); }
  function clock(seconds) {
    var s = Math.floor(seconds), m = Math.floor(s / 60), h = Math.floor(m / 60);
    return h ? h + ":" + two(m % 60) + ":" + two(s % 60) : m + ":" + two(s % 60);
  }

  function refreshClock() {
    var running = job.running();
    byId("ui_clock-bar").classList.toggle("paused", !running);
    byId("ui_clock-bar").classList.toggle("ended", current === last);
    byId("ui_pause").hidden = current === last;
    byId("ui_pause").setAttribute("aria-pressed", String(!running));
    byId("ui_pause").classList.toggle("i-pause", running);
    byId("ui_pause").classList.toggle("i-play", !running);
    byId("ui_pause-word").textContent = running ? say("pause") : say("go-on");
    byId("ui_job-clock").textContent = clock(job.total());
    byId("ui_job-plan").textContent = againstPlan() || say("plan", plan.plan);
    if (current === last) return;
    var step = steps[current], spent = job.seconds(step.id);
    byId("ui_step-clock").textContent = clock(spent);
    byId("ui_step-plan").textContent = say("plan", step.plan);
    // The gauge ends a third beyond the pessimistic time; the stroke stops there.
    var full = Math.max(step.high, 0.5) * 80; // seconds
    function at(minutes) { return Math.min(100, minutes * 6000 / full) + "%"; }
    byId("ui_gauge-range").style.insetInlineStart = at(step.low);
    byId("ui_gauge-range").style.width = Math.max(0, (step.high - step.low) * 6000 / full) + "%";
    byId("ui_gauge-likely").style.insetInlineStart = at(step.likely);
    byId("ui_gauge-mark").style.insetInlineStart = Math.min(98, spent * 100 / full) + "%";
  }

  // againstPlan compares the clock with the plan at this point of the job; it
  // means something only when the steps before were gone through.
  function againstPlan() {
    var inOrder = current > 0 && steps.slice(0, current).every(function (step) { return job.passed(step.id); });
    if (!inOrder) return "";
    var planned = plan.total;
    if (current < last) {
      var step = steps[current];
      planned = step.start + Math.min(step.mean, job.seconds(step.id) / 60);
    }
    var late = Math.round(job.total() / 60 - planned);
    if (late > 0) return say("behind", matchmark.spell(late));
    if (late < 0 && job.total() / 60 < planned / 2) return ""; // so fast nobody works: the steps were leafed through
    return late < 0 ? say("ahead", matchmark.spell(-late)) : say("on-plan");
  }

  // ---- Figures: balloons lead to rows and rows to balloons

  function point(elements) {
    elements.forEach(function (element) {
      element.classList.add("pointed");
      setTimeout(function () { element.classList.remove("pointed"); }, 2000);
    });
  }

  function pointAtRow(row) {
    row.scrollIntoView({ block: "center" });
    var target = row.querySelector("input") || row.querySelector("button");
    if (target) target.focus({ preventScroll: true });
    point([row]);
  }

  function pointAtBalloons(thing) {
    var found = all(articles[current], '.balloon[data-thing="' + CSS.escape(thing) + '"]');
    if (!found.length) return;
    found[0].closest(".figure").scrollIntoView({ block: "nearest" });
    point(found);
  }

  // ---- List of steps

  function openList() {
    all(byId("ui_list"), "[data-step]").forEach(function (link, i) {
      var holes = missing(i).length, open = openTicks(i).length;
      link.classList.toggle("done", done(i));
      link.classList.toggle("skipped", found.skips(i));
      if (i === current) link.setAttribute("aria-current", "step");
      else link.removeAttribute("aria-current");
      link.querySelector(".list-state").textContent =
        found.skips(i) ? say("state.left-out") : i === current ? say("state.here")
          : holdBefore(i) >= 0 ? say("state.shut")
            : done(i) ? say("state.done")
              : job.passed(steps[i].id) ? say.count("state.open", open + holes) : "";
    });
    sure(false);
    byId("ui_list").showModal();
    var here = byId("ui_list").querySelector("[aria-current]");
    if (here) {
      here.focus();
      here.scrollIntoView({ block: "center" });
    }
  }

  function sure(open) {
    byId("ui_start-over-sure").hidden = !open;
    byId("ui_start-over").setAttribute("aria-expanded", String(open));
  }

  function startOver() {
    sure(false);
    if (!job.startOver()) return keeping.cannotStartOver();
    byId("ui_list").close();
    go(0);
  }

  // ---- The end

  function showEnd() {
    byId("ui_end-total").textContent = say("end-total", clock(job.total()), plan.plan);
    var open = [], openSteps = [];
    steps.forEach(function (step, i) {
      if (!done(i)) openSteps.push(i);
      openTicks(i).forEach(function (input) { open.push([i, input]); });
    });
    byId("ui_end--title").textContent = openSteps.length ? say.count("end-steps", openSteps.length) : say("end-through");
    var first = byId("ui_end-first");
    first.hidden = !openSteps.length;
    if (openSteps.length) {
      first.href = "#" + steps[openSteps[0]].id;
      first.textContent = say("to-hold", openSteps[0] + 1) + ": " + titleOf(openSteps[0]);
    }
    byId("ui_end-open").textContent = open.length ? say.count("end-open", open.length) : openSteps.length ? "" : say("end-clean");
    byId("ui_end-times").replaceChildren.apply(byId("ui_end-times"), steps.map(function (step, i) {
      var row = document.createElement("tr");
      [i + 1, titleOf(i), clock(job.seconds(step.id)), step.plan].forEach(function (text, column) {
        var cell = document.createElement("td");
        if (column !== 1) cell.className = "numbers";
        cell.textContent = text;
        row.append(cell);
      });
      return row;
    }));
    var list = open.map(function (entry) { return entry[1].id; }).join();
    if (byId("ui_end-list").dataset.open === list) return; // a link of the same list may have the focus
    byId("ui_end-list").dataset.open = list;
    byId("ui_end-list").replaceChildren.apply(byId("ui_end-list"), open.map(function (entry) {
      var li = document.createElement("li"), a = document.createElement("a");
      a.href = "#" + entry[1].closest(".row").id;
      a.textContent = entry[0] + 1 + ": " + entry[1].closest(".row").querySelector(".told > span").textContent.trim();
      li.append(a);
      return li;
    }));
  }

  // ---- Wiring

  // page is what the other scripts of the step view need to know of it.
  var page = {
    job: job, plan: plan, steps: steps, articles: articles,
    current: function () { return current; },
    nameOf: function (id) {
      var thing = plan.things.find(function (thing) { return thing.id === id; });
      return Array.from(thing ? thing.name : id).slice(0, 80).join("");
    },
    // thingsOf lists what a step acts on and looks at, each once, in the step's order.
    thingsOf: function (i) {
      if (i >= last) return [];
      var found = all(articles[i], ".row").map(function (row) {
        return row.dataset.thing || (row.id.split("--inspect-")[1] || "").replace(/_\d+$/, "");
      });
      return found.filter(function (id, k) { return id && found.indexOf(id) === k; });
    },
    // open lists the rows of a step that are to be done yet, in the step's order.
    open: function (i) {
      return all(articles[i], ".row").filter(function (row) {
        var input = row.querySelector("[data-tick], [data-measure], [data-hold], [data-repair], [data-decide]");
        return input && !found.off(input) && !given(input);
      });
    },
    proved: function (key) { return signatures.proved(key); },
    saveFile: function () { return keeping.saveFile(); },
    scarce: "", // what to say when the browser may take away what is kept
    turned: function () {}, // for who wants to know that another step is shown
    refresh: refresh, go: go, titleOf: titleOf, pointAtRow: pointAtRow,
  };
  var findings = matchmark.findings(page);
  var measured = matchmark.measured(page, findings);
  var found = (matchmark.found || nothingFound)(page, measured);
  var mending = matchmark.repairs(page, findings);
  var signatures = matchmark.signatures(page);
  var keeping = matchmark.keeping(page, findings);
  var acts = matchmark.acts(page);

  // fillIn puts what is written down into the page, but not into a field that is being typed in.
  function fillIn() {
    all(document, "[data-tick], [data-hold]").forEach(function (input) {
      var value = input.dataset.tick ? job.ticked(input.dataset.tick) : job.confirmed(input.dataset.hold);
      if (input.type === "checkbox") input.checked = Boolean(value);
      else if (input !== document.activeElement) input.value = value === true ? "" : value;
      if (value) input.closest(".row").classList.remove("missing");
    });
    measured.fillIn();
    found.fillIn();
  }

  byId("ui_steps").addEventListener("input", function (event) {
    var input = /** @type {Found} */ (event.target);
    var value = input.type === "checkbox" ? input.checked : input.value.trim(), data = input.dataset;
    asked = false;
    if (data.tick) job.tickRow(data.tick, input.checked);
    else if (data.hold) job.confirm(data.hold, value);
    else if (data.repair) job.repair(data.repair, input.checked);
    else if (!data.measure && !data.decide) return;
    input.closest(".row").classList.remove("missing");
    if (!job.running()) job.run(true); // work goes on, so does the clock
  });
  document.addEventListener("click", function (event) {
    var target = /** @type {Element} */ (event.target);
    var balloon = target.closest("a.balloon"), chip = target.closest("[data-show]");
    if (balloon) {
      event.preventDefault();
      pointAtRow(byId(balloon.getAttribute("href").slice(1)));
    } else if (chip) {
      pointAtBalloons(chip.dataset.show);
    }
  });
  byId("ui_next").addEventListener("click", next);
  byId("ui_back").addEventListener("click", function () { go(current === last ? current - 1 : found.back(current)); });
  byId("ui_pause").addEventListener("click", function () { job.run(!job.running()); refresh(); });
  byId("ui_open-list").addEventListener("click", openList);
  byId("ui_close-list").addEventListener("click", function () { byId("ui_list").close(); });
  byId("ui_list").addEventListener("click", function (event) {
    var target = /** @type {Element} */ (event.target), link = target.closest("[data-step]");
    if (target.closest(".hits a[href^='#']")) byId("ui_list").close();
    if (!link) return;
    event.preventDefault();
    byId("ui_list").close();
    go(steps.findIndex(function (step) { return step.id === link.dataset.step; }));
  });
  byId("ui_start-over").addEventListener("click", function () { sure(byId("ui_start-over-sure").hidden); });
  byId("ui_start-over-no").addEventListener("click", function () { sure(false); byId("ui_start-over").focus(); });
  byId("ui_start-over-yes").addEventListener("click", startOver);

  var keys = { ArrowRight: 1, PageDown: 1, ArrowLeft: -1, PageUp: -1 };
  document.addEventListener("keydown", function (event) {
    var way = keys[event.key];
    var writing = /** @type {Element} */ (event.target).closest("input:not([type=checkbox]), select, textarea");
    if (!way || writing || event.altKey || event.ctrlKey || event.metaKey || document.querySelector("dialog[open]")) return;
    event.preventDefault();
    if (event.repeat || /^Page/.test(event.key) && !document.body.matches(".wall") && acts.turn(way)) return; // a page key shows first what lies beyond the edge
    if (way > 0) next();
    else go(found.back(current));
  });

  window.addEventListener("hashchange", function () { fromAddress(); });
  window.addEventListener("storage", function (event) {
    if (event.key === job.key) job.reload();
  });
  window.addEventListener("pagehide", keep);
  document.addEventListener("visibilitychange", keep);
  function keep() {
    job.tick();
    job.save();
    refresh();
  }

  history.scrollRestoration = "manual"; // each step begins at its top
  byId("ui_clock-bar").hidden = byId("ui_step-bar").hidden = false;
  matchmark.job = job;
  job.tick();
  fillIn();
  refresh(); // puts the repairs in, which may shut a step
  fromAddress("first");
  measured.judgeAll();
  job.changed(function () {
    hold();
    if (current >= 0 && current < last && !job.step() && !readsAhead(current)) job.goTo(steps[current].id); // of a job that was joined
    fillIn();
    refresh();
  });
  // hold asks the browser to leave the record here, once there is something to lose.
  function hold() {
    if (matchmark.hold && !job.fresh()) matchmark.hold(function () {
      page.scarce = say("scarce");
      job.save(); // tells all who show it
    });
  }
  matchmark.loaded(function (missing) {
    if (window.scrollY === 0) window.scrollTo(0, byId("ui_main").offsetTop); // a browser that goes to the step of the address comes to the page's top
    Promise.allSettled(all(document, "[data-late]").map(function (part) { return matchmark.script(part.dataset.late); })).then(function (came) {
      if (matchmark.closer) [matchmark.closer, matchmark.lookup, matchmark.hands, matchmark.begin].forEach(function (aid) { aid(page, findings); });
      hold();
      ready(missing + came.filter(function (one) { return one.status === "rejected"; }).length);
    });
  });
  // ready tells, once all has come that this job needs, that it can go on without the network.
  function ready(missing) {
    lost = missing;
    if (!lost) document.querySelector(".step > header ul").append(matchmark.make("li", { className: "i-ready" }, say("ready")));
    if (!lost) document.querySelector(".list-head h2").after(matchmark.make("span", { className: "soft" }, say("ready")));
    refreshNotices();
  }
  setInterval(function () { job.tick(); found.tick(); refreshClock(); refreshNotices(); ended(); }, 1000);
  // ended opens what a wait held up, once it is over.
  var held = "";
  function ended() {
    var now = current < last ? found.shut(current) : "";
    if (now !== held) refresh();
    held = now;
  }
  setInterval(job.save, 15000);
})();
