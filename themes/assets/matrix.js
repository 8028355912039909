// The class as a whole, read from across the room: a line for each pair and machine, a column for each step. What waits for
// somebody is marked at its step and said at the end of the line. A line opens to what it is about.
(function () {
  "use strict";
  var board = matchmark.board, element = board.element, button = board.button, say = matchmark.words("matrix");
  var place = document.getElementById("ui_matrix"), opened = "", nameless = false;
  var silentAfter = 3, lateAfter = 5; // minutes
  // Signs are lines, which every browser draws: a gate, a stop, a gap, a clock, two.
  var strokes = {
    wait: "M5 3v18M19 3v18M5 12h14", stop: "M8 3h8l5 5v8l-5 5H8l-5-5V8zM8 12h8", silent: "M3 12h4M10 12h4M17 12h4",
    late: "M12 3a9 9 0 1 0 .1 0M12 7v5l4 3", twice: "M4 6h16v5H4zM4 14h16v5H4z", done: "m4 13 5 5L20 6",
  };

  function sign(kind) {
    var svg = document.createElementNS("http://www.w3.org/2000/svg", "svg"), path = document.createElementNS("http://www.w3.org/2000/svg", "path");
    svg.setAttribute("viewBox", "0 0 24 24");
    svg.setAttribute("aria-hidden", "true");
    path.setAttribute("d", strokes[kind]);
    svg.append(path);
    return svg;
  }

  // line is what a row shows of a job.
  function line(job, all, now) {
    function minutes(since) { return Math.max(0, Math.floor((now - since) / 60000)); }
    var latest = job.tablets.reduce(function (a, b) { return a && a.at > b.at ? a : b; }, null), way = latest ? latest.way : "out";
    var here = job.tablets.filter(function (t) { return t.way === way; }), plan = (job.ways || {})[way] || { of: latest ? latest.of : 0, gates: [] };
    var done = here.map(function (t) { return t.step === "ui_end" ? plan.of : Math.max(0, (t.number || 1) - 1); });
    var waits = job.holds.filter(function (h) { return h.waitingSince && !h.signed; }), finished = job.done.out && (job.done.back || way === "out");
    var marks = [];
    waits.forEach(function (h) { marks.push({ kind: h.finding ? "stop" : "wait", minutes: minutes(h.waitingSince), hold: h }); });
    if (!finished && job.machine && all.filter(function (other) { return !other.void && other.machine === job.machine && !other.done.back; }).length > 1) marks.push({ kind: "twice" });
    if (finished) marks.push({ kind: "done" });
    else if (latest && minutes(latest.at) >= silentAfter) marks.push({ kind: "silent", minutes: minutes(latest.at) });
    var late = Math.max.apply(null, [0].concat(here.map(function (t) { return t.late || 0; })));
    if (!finished && late >= lateAfter) marks.push({ kind: "late", minutes: late });
    return {
      job: job.job, machine: job.machine, back: way === "back", names: job.tablets.map(function (t) { return t.learner || ""; }).filter(Boolean),
      of: plan.of, gates: plan.gates, done: done.length ? Math.min.apply(null, done) : 0,
      now: here.map(function (t) { return t.step === "ui_end" ? 0 : t.number; }).filter(Boolean), title: latest ? latest.stepTitle : "", marks: marks,
      at: waits.filter(function (h) { return h.way === way; }).map(function (h) { return { number: h.number, kind: h.finding ? "stop" : "wait" }; }),
      signed: job.holds.filter(function (h) { return h.signed && h.way === way; }).map(function (h) { return h.number; }),
    };
  }

  function strip(l, most) {
    var out = element("span", "matrix-strip");
    out.setAttribute("role", "img");
    out.setAttribute("aria-label", l.now.length ? say("at", l.now[0], l.of, l.title) : say("done-of", l.done, l.of));
    var marked = {};
    l.at.forEach(function (w) { marked[w.number] = w.kind; });
    for (var n = 1; n <= most; n++) {
      var cell = element("i", n > l.of ? "beyond-end" : n <= l.done ? "done" : "");
      if (l.now.indexOf(n) >= 0) {
        cell.classList.add("now");
        cell.textContent = n;
      }
      if (l.gates.indexOf(n) >= 0) cell.classList.add(l.signed.indexOf(n) >= 0 ? "gate-open" : "gate");
      if (marked[n]) cell.classList.add("is-" + marked[n]);
      out.append(cell);
    }
    return out;
  }

  // mark says what is to be heeded; what can be signed is signed from here.
  function mark(m, job) {
    var text = say("mark." + m.kind, m.minutes), waiting = m.hold && waitOf(job, m.hold);
    var out = waiting && m.hold.known && !nameless ? button("", function () { board.sign(waiting); }) : element("span");
    out.className = "matrix-mark is-" + m.kind;
    out.append(sign(m.kind), text);
    return out;
  }
  function waitOf(job, hold) { return board.waiting.find(function (w) { return w.job.job === job && w.hold.key === hold.key; }); }

  function row(l, most) {
    var out = element("li", "matrix-row"), open = opened === l.job && !nameless, label = nameless ? element("span") : button("", function () {
      opened = open ? "" : l.job;
      draw(board.state());
      focusOn(l.job);
    });
    label.classList.add("matrix-label");
    label.append(element("strong", "", l.machine || say("no-machine")));
    if (!nameless) {
      label.append(element("span", "", l.names.join(", ")));
      label.setAttribute("aria-expanded", String(open));
      label.dataset.job = l.job;
    }
    if (l.back) label.append(element("small", "", say("back")));
    var marks = element("span", "matrix-marks");
    l.marks.forEach(function (m) { marks.append(mark(m, l.job)); });
    out.append(label, strip(l, most), marks);
    if (open) out.append(details(l.job));
    return out;
  }

  // details are what waits at a job, the job itself and what was found there.
  function details(id) {
    var out = element("div", "matrix-open"), job = board.state().jobs.find(function (j) { return j.job === id; });
    board.waiting.forEach(function (w) { if (w.job.job === id) out.append(board.cards.wait(w)); });
    out.append(board.cards.job(job));
    job.findings.forEach(function (f) { out.append(board.cards.finding(job, f)); });
    return out;
  }

  function heads(most) {
    var out = element("li", "matrix-row matrix-heads"), numbers = element("span", "matrix-strip");
    out.setAttribute("aria-hidden", "true");
    for (var n = 1; n <= most; n++) numbers.append(element("i", "", n === 1 || n % 5 === 0 ? String(n) : ""));
    out.append(element("span", "matrix-label", say("steps")), numbers, element("span", "matrix-marks"));
    return out;
  }

  function focusOn(job) {
    var label = place.querySelector('[data-job="' + job + '"]');
    if (label) label.focus({ preventScroll: true });
  }

  var shown = "";
  function draw(state) {
    var live = state.jobs.filter(function (job) { return !job.void; });
    var lines = live.map(function (job) { return line(job, live, state.now); });
    lines.sort(function (a, b) { return a.machine.localeCompare(b.machine, document.documentElement.lang, { numeric: true }) || (a.job < b.job ? -1 : 1); });
    var what = JSON.stringify([lines, opened, nameless, opened && live.find(function (j) { return j.job === opened; })]);
    document.getElementById("ui_matrix-part").hidden = !lines.length;
    if (what === shown) return;
    shown = what;
    var most = Math.max.apply(null, [1].concat(lines.map(function (l) { return l.of; }))), focused = document.activeElement, held = focused && focused.getAttribute("data-job");
    place.style.setProperty("--rows", String(lines.length + 1));
    place.style.setProperty("--steps", String(most));
    place.replaceChildren.apply(place, [heads(most)].concat(lines.map(function (l) { return row(l, most); })));
    if (held) focusOn(held);
  }

  document.addEventListener("matchmark:board", function (event) { draw(event.detail); });
  // What a whole class looks at has no names: only machines, steps and marks.
  document.getElementById("ui_nameless").addEventListener("click", function () {
    nameless = !nameless;
    document.body.classList.toggle("nameless", nameless);
    this.setAttribute("aria-pressed", String(nameless));
    draw(board.state());
  });
})();
