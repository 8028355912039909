// Makes a SCORM 1.2 learning system the place that keeps a quiz: it stands
// between quiz.js and the device's storage, so that the quiz itself is the site's.
// What the quiz keeps goes to cmi.suspend_data; each answer is recorded as an
// interaction, each finished try as score and status. Without a learning system
// the device keeps the quiz, as on the site.
// Source: ADL, SCORM 1.2 Run-Time Environment (2001), data model; loaded after
// quiz-marking.js and before quiz.js.
(function () {
  "use strict";
  var say = matchmark.words("scorm"), device = matchmark.store;
  var quiz = JSON.parse(document.getElementById("quiz-key").textContent);
  var slot = "matchmark.quiz." + quiz.quiz;
  var ROOM = 4096; // characters of cmi.suspend_data
  var LEVELS = 20; // windows to climb
  var MARKS = "abcdefghijklmnopqrstuvwxyz0123456789"; // what SCORM 1.2 names choices by
  var began = Date.now(), trouble = false, closed = false;

  // The learning system puts an object named API into a window above this one,
  // or above the one that opened this one. A window of another site is passed by.
  function climb(from) {
    for (var level = 0; from && level < LEVELS; level++) {
      try { if (from.API) return from.API; } catch (foreign) { /* not ours to look into */ }
      if (from.parent === from) return null;
      from = from.parent;
    }
    return null;
  }
  function find() {
    return climb(window) || climb(window.opener) || climb(window.top && window.top.opener);
  }

  // note tells the learner something at the top of the page.
  function note(text) {
    var p = document.getElementById("scorm-note") || document.createElement("p");
    p.id = "scorm-note";
    p.className = "quiz-note";
    p.setAttribute("role", "status");
    document.getElementById("ui_main").prepend(p);
    p.textContent = text;
  }

  var api = find();
  if (!api) {
    note(say("alone"));
    return;
  }

  // ---- Talking to the learning system

  function refused(reason) {
    trouble = true;
    note(say("refused", reason || say("no-reason")));
  }
  function reason() {
    try { return api.LMSGetErrorString(String(api.LMSGetLastError())); } catch (broken) { return ""; }
  }
  // order has something done, and says so when it is not.
  function order(done) {
    var result;
    try { result = done(); } catch (broken) { refused(/** @type {Error} */ (broken).message); return false; }
    if (String(result) === "true") return true;
    refused(reason());
    return false;
  }
  function get(element) {
    try { return String(api.LMSGetValue(element) || ""); } catch (broken) { return ""; }
  }
  function put(element, value) {
    return order(function () { return api.LMSSetValue(element, String(value)); });
  }
  // children are the elements of a group that this learning system has; some are optional.
  function children(group) { return get(group + "._children").split(",").map(function (s) { return s.trim(); }); }

  if (!order(function () { return api.LMSInitialize(""); })) return;

  var mode = get("cmi.core.lesson_mode"), records = mode !== "browse" && mode !== "review";
  var scores = children("cmi.core.score"), parts = children("cmi.interactions");
  var count = Number(get("cmi.interactions._count")) || 0;
  var kept = unpack(get("cmi.suspend_data"));
  var recorded = { started: kept && kept.open ? kept.open.started : "", ids: {} };
  if (kept && kept.open) Object.keys(kept.open.answers).forEach(function (id) { recorded.ids[id] = true; });
  var finished = kept ? kept.done.length : 0;
  if (!records) note(say("review"));
  else if (["", "not attempted"].indexOf(get("cmi.core.lesson_status")) >= 0) {
    put("cmi.core.lesson_status", "incomplete");
    order(function () { return api.LMSCommit(""); });
  }

  // ---- What the quiz keeps, in few characters

  // An answer by question: 0 for none yet, null for left open, else a text.
  function packAnswer(question, answer) {
    if (!answer) return answer === null ? null : 0;
    if (question.kind === "point") return answer.target;
    if (question.kind !== "number") return answer.chosen.join(".");
    return answer.number + " " + units(question).indexOf(answer.unit);
  }
  function unpackAnswer(question, text) {
    if (text === null) return null;
    if (question.kind === "point") return { target: text };
    if (question.kind !== "number") return { chosen: text.split(".").map(Number) };
    var typed = text.split(" ");
    return { number: typed[0], unit: units(question)[typed[1]] };
  }
  function units(question) { return question.number.units.map(function (u) { return u.symbol; }); }

  function pack(state) {
    var names = [], open = state.open;
    function name(learner) {
      if (names.indexOf(learner) < 0) names.push(learner);
      return names.indexOf(learner);
    }
    var packed = {
      edition: quiz.edition, names: names,
      done: state.done.map(function (r) { return [name(r.learner), r.score.passed ? 1 : 0, r.score.percent]; }),
      open: open && [name(open.learner), open.try, open.started, open.at,
        quiz.questions.map(function (q) { return packAnswer(q, open.answers[q.id]); }),
        quiz.questions.map(function (q) { return open.seconds[q.id] || 0; })],
    };
    if (ascii(packed).length > ROOM && open) packed.open[5] = [];
    if (ascii(packed).length > ROOM) {
      packed.open = null;
      note(say("full"));
    }
    while (ascii(packed).length > ROOM && packed.done.length > 1) packed.done.shift();
    return ascii(packed);
  }

  // ascii writes JSON in ASCII alone: not every learning system keeps other letters.
  function ascii(value) {
    return JSON.stringify(value).replace(/[\u007f-\uffff]/g, function (c) {
      return "\\u" + ("000" + c.charCodeAt(0).toString(16)).slice(-4);
    });
  }

  // unpack returns what the quiz kept, or null when there is nothing that it can use.
  function unpack(text) {
    try {
      var packed = JSON.parse(text), open = packed.open, state = { version: quiz.version, done: [], open: null };
      if (packed.edition !== quiz.edition) return null;
      packed.done.forEach(function (d) {
        state.done.push({ edition: quiz.edition, learner: packed.names[d[0]], score: { passed: d[1] === 1, percent: d[2] } });
      });
      if (!open) return state;
      state.open = { edition: quiz.edition, learner: packed.names[open[0]], try: open[1], started: open[2], at: open[3], answers: {}, seconds: {} };
      quiz.questions.forEach(function (q, i) {
        if (open[4][i] === 0) return;
        state.open.answers[q.id] = unpackAnswer(q, open[4][i]);
        state.open.seconds[q.id] = open[5][i] || 0;
      });
      return state;
    } catch (unreadable) {
      return null;
    }
  }

  // ---- Interactions

  function two(n) { return ("0" + n).slice(-2); }
  function span(seconds) {
    var s = Math.max(0, Math.round(seconds));
    return ("000" + Math.floor(s / 3600)).slice(-4) + ":" + two(Math.floor(s / 60) % 60) + ":" + two(s % 60);
  }
  function clock(date) { return two(date.getHours()) + ":" + two(date.getMinutes()) + ":" + two(date.getSeconds()); }

  var types = { single: "choice", several: "choice", "true-false": "true-false", number: "numeric", order: "sequencing", point: "choice" };

  // CMIFeedback of several choices that must all be chosen stands in braces.
  // Source: SCORM 1.2 Run-Time Environment, data type CMIFeedback (from memory).
  function all(list) { return list.indexOf(",") < 0 ? list : "{" + list + "}"; }

  function marks(values) { return values.map(function (v) { return MARKS[v - 1]; }).join(","); }

  // spot counts the places of a figure from 1, in the order of their letters.
  function spot(question, target) {
    var all = document.querySelectorAll("#question-" + question.id + " .targets .choice");
    return Array.prototype.findIndex.call(all, function (c) { return c.dataset.target === target; }) + 1;
  }

  // A number in the unit that the right answer is in: an interaction has no unit.
  function inUnit(number, answer) {
    function base(symbol) { return number.units.filter(function (u) { return u.symbol === symbol; })[0]; }
    function ratio(text) { return (text || "0").split("/").map(Number).reduce(function (a, b) { return a / b; }); }
    if (answer.unit === number.unit) return answer.number;
    var from = base(answer.unit), to = base(number.unit);
    var value = (Number(answer.number) * ratio(from.factor) + ratio(from.zero) - ratio(to.zero)) / ratio(to.factor);
    return String(Number(value.toFixed(4)));
  }

  function responseText(question, answer) {
    switch (question.kind) {
      case "true-false": return answer.chosen[0] === 1 ? "t" : "f";
      case "number": return inUnit(question.number, answer);
      case "point": return marks([spot(question, answer.target)]);
      default: return marks(answer.chosen);
    }
  }

  function rightText(question) {
    switch (question.kind) {
      case "number": return ""; // SCORM 1.2 has one right number, and no limits
      case "point": return marks([spot(question, question.target)]);
      case "several": return all(marks(question.chosen));
      default: return responseText(question, { chosen: question.chosen });
    }
  }

  function record(question, answer, seconds) {
    var at = "cmi.interactions." + count + ".", right = rightText(question);
    function part(name, value) { if (parts.indexOf(name) >= 0) put(at + name, value); }
    part("id", question.id);
    part("time", clock(new Date(Date.now() - seconds * 1000)));
    part("type", types[question.kind]);
    if (right && parts.indexOf("correct_responses") >= 0) put(at + "correct_responses.0.pattern", right);
    part("weighting", Math.min(question.points, 100));
    if (answer) part("student_response", responseText(question, answer));
    part("result", window.matchmarkQuiz.right(question, answer) ? "correct" : "wrong");
    part("latency", span(seconds));
    count++;
  }

  // recordAnswers records the answers that are new since the last time.
  function recordAnswers(open) {
    if (!open) return false;
    if (open.started !== recorded.started) recorded = { started: open.started, ids: {} };
    var news = quiz.questions.filter(function (q) { return open.answers[q.id] !== undefined && !recorded.ids[q.id]; });
    news.forEach(function (q) {
      recorded.ids[q.id] = true;
      if (parts.indexOf("id") >= 0) record(q, open.answers[q.id], open.seconds[q.id] || 0);
    });
    return news.length > 0;
  }

  // ---- Score and status

  // The best finished try counts: whoever has passed may try again for practice.
  function best(done) {
    return done.reduce(function (a, b) {
      if (a.score.passed !== b.score.passed) return a.score.passed ? a : b;
      return b.score.percent > a.score.percent ? b : a;
    }).score;
  }

  function recordResult(done) {
    if (done.length <= finished) return false;
    finished = done.length;
    var score = best(done);
    var demands = quiz.pass > 0 || quiz.questions.some(function (q) { return q.critical; });
    if (scores.indexOf("min") >= 0) put("cmi.core.score.min", 0);
    if (scores.indexOf("max") >= 0) put("cmi.core.score.max", 100);
    put("cmi.core.score.raw", score.percent);
    put("cmi.core.lesson_status", !demands ? "completed" : score.passed ? "passed" : "failed");
    return true;
  }

  function keep(state) {
    kept = state;
    if (!records || closed) return !closed;
    var answered = recordAnswers(state.open), done = recordResult(state.done);
    var taken = put("cmi.suspend_data", pack(state));
    if (answered || done) {
      put("cmi.core.session_time", span((Date.now() - began) / 1000));
      if (!order(function () { return api.LMSCommit(""); })) taken = false;
    }
    return taken && !trouble;
  }

  // The learning system hands back what was kept only after a suspended session.
  function close() {
    if (closed) return;
    closed = true;
    if (records) {
      put("cmi.core.session_time", span((Date.now() - began) / 1000));
      put("cmi.core.exit", kept && (kept.open || quiz.tries > 0) ? "suspend" : "");
      order(function () { return api.LMSCommit(""); });
    }
    order(function () { return api.LMSFinish(""); });
  }
  window.addEventListener("pagehide", close);
  window.addEventListener("pageshow", function (event) { if (event.persisted) window.location.reload(); });

  // ---- In place of the device's storage

  matchmark.store = {
    get: function (key) { return key !== slot ? device.get(key) : kept && JSON.stringify(kept); },
    set: function (key, text) { return key !== slot ? device.set(key, text) : keep(JSON.parse(text)); },
    remove: function (key) { return key !== slot ? device.remove(key) : keep({ version: quiz.version, done: [], open: null }); },
    keys: device.keys,
  };
  matchmark.hold = async function () {}; // nothing of the quiz stays in the browser

  // The learning system knows who learns here, and it is its business to clear results.
  var name = get("cmi.core.student_name").trim().replace(/\s+/g, " "), field = document.getElementById("quiz-learner");
  if (name) {
    field.value = name;
    field.readOnly = true;
  }
  var clear = document.getElementById("quiz-clear"), away = document.createElement("div");
  away.hidden = true;
  clear.replaceWith(away);
  away.append(clear);
})();
