// Takes a learner through a quiz, one question a screen: answer, see at once
// what was right and why, go on, and in the end the score. The try is kept on
// the device at every answer, so that a closed lid loses nothing, and can be
// saved as a file. quiz-marking.js arranges and marks.
(function () {
  "use strict";
  var say = matchmark.words("quiz"), store = matchmark.store, marking = window.matchmarkQuiz;
  var quiz = JSON.parse(document.getElementById("quiz-key").textContent);
  var slot = "matchmark.quiz." + quiz.quiz;
  var byId = function (id) { return document.getElementById(id); };
  var all = function (root, selector) { return Array.prototype.slice.call(root.querySelectorAll(selector)); };

  // kept is what the device holds: finished tries as responses, and the open one.
  var kept = read(), places = [], shownAt = 0, scarce = false;

  function read() {
    var empty = { version: quiz.version, done: [], open: null };
    try {
      var found = JSON.parse(store.get(slot));
      if (!found || found.version !== quiz.version || !Array.isArray(found.done)) return empty;
      // A try on another wording of the quiz neither counts nor goes on.
      found.done = found.done.filter(function (r) { return r.edition === quiz.edition; });
      if (found.open && found.open.edition !== quiz.edition) found.open = null;
      return found;
    } catch (unreadable) {
      return empty;
    }
  }

  function keep() {
    var keeps = store.set(slot, JSON.stringify(kept));
    byId("quiz-refused").hidden = keeps;
    byId("quiz-scarce").hidden = !keeps || !scarce;
  }

  function form(index) { return byId("question-" + quiz.questions[index].id); }
  function announce(text) { byId("quiz-announce").textContent = text; }

  // Start

  function learner() { return byId("quiz-learner").value.trim().replace(/\s+/g, " "); }

  function triesOf(name) {
    return kept.done.filter(function (r) { return r.learner.toLowerCase() === name.toLowerCase(); });
  }

  function showStart() {
    only(byId("quiz-start"));
    byId("quiz-begin").hidden = false;
    byId("quiz-clear").hidden = !kept.done.length && !kept.open;
    var resume = byId("quiz-resume");
    resume.hidden = !kept.open;
    if (kept.open) {
      resume.textContent = say("resume", kept.open.at + 1, (kept.open.again || quiz.questions).length);
      byId("quiz-learner").value = kept.open.learner;
    }
    showPast();
  }

  // What this learner has done so far, and whether another try is left.
  function showPast() {
    var tries = triesOf(learner()), last = tries[tries.length - 1], text = "";
    if (last) text = last.score.passed ? say("past.passed", tries.length, last.score.percent) : say("past.failed", tries.length, last.score.percent);
    var used = quiz.tries > 0 && tries.length >= quiz.tries;
    if (used) text += " " + say("used");
    byId("quiz-past").textContent = text;
    byId("quiz-go").disabled = used;
    byId("quiz-go").classList.toggle("main", !kept.open);
    byId("quiz-go").textContent = kept.open ? say("anew") : say("go");
  }

  // begin opens a try of all questions, or of those that are asked again, which counts as no try.
  function begin(again) {
    kept.open = {
      edition: quiz.edition, learner: learner(), try: triesOf(learner()).length + 1,
      started: new Date().toISOString(), at: 0, answers: {}, seconds: {}, again: again,
    };
    keep();
    resume();
  }

  function resume() {
    var again = kept.open.again;
    places = marking.arrange(quiz, kept.open.try).filter(function (p) { return !again || again.indexOf(quiz.questions[p.question].id) >= 0; });
    places.forEach(prepare);
    show(kept.open.at);
    matchmark.hold(function () {
      scarce = true;
      keep();
    });
  }

  // Questions

  // only shows one part of the page.
  function only(part) {
    [byId("quiz-start"), byId("quiz-result"), byId("quiz-place")].concat(all(document, ".question")).forEach(function (p) {
      p.hidden = p !== part;
    });
  }

  // prepare empties a question's form and puts its choices into the order of the try.
  function prepare(place) {
    var f = form(place.question), list = f.querySelector(".choices");
    f.reset();
    f.classList.remove("answered", "was-right", "was-wrong");
    all(f, "input, select, button").forEach(function (e) { e.disabled = false; });
    all(f, ".verdict, .judged, .feedback").forEach(function (e) { e.hidden = true; });
    all(f, ".choice").forEach(function (c) { c.classList.remove("is-right", "is-wrong", "is-missed"); });
    all(f, ".yours-order, .rights").forEach(function (e) { e.textContent = ""; });
    all(f, ".balloon").forEach(function (b) { b.classList.remove("active", "is-right"); });
    all(f, ".line > .sign").forEach(function (sign) { sign.remove(); });
    f.querySelector(".missing").textContent = f.querySelector(".yours").textContent = "";
    place.choices.forEach(function (c) {
      list.appendChild(list.querySelector('[data-value="' + (c + 1) + '"]'));
    });
    if (list && list.classList.contains("lines")) endsOf(list);
  }

  function show(at) {
    var index = places[at].question, f = form(index);
    only(f);
    byId("quiz-place").hidden = false;
    byId("quiz-count").textContent = say("place", at + 1, places.length);
    f.querySelector(".back").hidden = at === 0;
    f.querySelector(".next").textContent = at + 1 < places.length ? say("next") : say("finish");
    kept.open.at = at;
    keep();
    drawTicks(at);
    shownAt = Date.now();
    if (answerOf(index) !== undefined) judge(index);
    else ready(f);
    window.scrollTo(0, 0);
    f.querySelector(".stem").focus({ preventScroll: true });
  }

  function answerOf(index) { return kept.open.answers[quiz.questions[index].id]; }

  // ready shows the buttons of a question that is still open.
  function ready(f) {
    f.querySelector(".skip-question").hidden = f.querySelector(".check-answer").hidden = false;
    f.querySelector(".next").hidden = true;
  }

  // One stroke per question, like marks across a seam: drawn once answered, and taller when right.
  function drawTicks(at) {
    var svg = byId("quiz-ticks"), n = places.length;
    svg.setAttribute("viewBox", "0 0 " + n * 10 + " 16");
    svg.textContent = "";
    draw(svg, "path", { class: "seam-line", d: "M0 8H" + n * 10 });
    places.forEach(function (place, i) {
      var answer = answerOf(place.question), x = i * 10 + 5;
      var state = answer === undefined ? "unanswered" : marking.right(quiz.questions[place.question], answer) ? "right" : "wrong";
      if (i === at) draw(svg, "rect", { class: "here", x: x - 4.5, y: 0.5, width: 9, height: 15, rx: 1 });
      if (state === "unanswered") draw(svg, "circle", { class: state, cx: x, cy: 8, r: 1.5 });
      else if (state === "right") draw(svg, "path", { class: state, d: "M" + (x - 2) + " 14 " + (x + 2) + " 2" });
      else draw(svg, "path", { class: state, d: "M" + (x - 2.5) + " 5.500l5 5m0-5-5 5" });
    });
  }

  function draw(svg, name, attributes) {
    var e = document.createElementNS("http://www.w3.org/2000/svg", name);
    Object.keys(attributes).forEach(function (k) { e.setAttribute(k, attributes[k]); });
    svg.appendChild(e);
  }

  // given reads the form; null when nothing was answered.
  function given(index) {
    var f = form(index), kind = quiz.questions[index].kind;
    if (kind === "number") {
      var number = marking.typed(f.elements.number.value);
      return number === null ? null : { number: number, unit: f.elements.unit.value };
    }
    if (kind === "point") {
      var target = f.querySelector("input:checked");
      return target ? { target: target.value } : null;
    }
    var from = kind === "order" ? all(f, ".line").map(function (l) { return l.dataset.value; })
      : all(f, "input:checked").map(function (i) { return i.value; });
    return from.length ? { chosen: from.map(Number) } : null;
  }

  function answer(index, value) {
    var id = quiz.questions[index].id;
    kept.open.answers[id] = value;
    kept.open.seconds[id] = Math.round((Date.now() - shownAt) / 1000);
    keep();
    judge(index);
    drawTicks(kept.open.at);
    var verdict = form(index).querySelector(".verdict");
    verdict.focus({ preventScroll: true });
    verdict.scrollIntoView({ block: "nearest" });
  }

  function submit(index) {
    var value = given(index), missing = form(index).querySelector(".missing");
    missing.textContent = "";
    if (value) answer(index, value);
    else missing.textContent = quiz.questions[index].kind === "number" ? say("missing.number") : say("missing");
  }

  // judge shows what an answered question is worth: the verdict in words and
  // sign, and at each choice whether it is right, whether it was taken, and why.
  function judge(index) {
    var question = quiz.questions[index], f = form(index), value = answerOf(index);
    var right = marking.right(question, value);
    f.classList.add("answered", right ? "was-right" : "was-wrong");
    f.querySelector(".verdict").hidden = false;
    f.querySelector(".verdict-word span").textContent = right ? say("right") : value ? say("wrong") : say("left-open");
    f.querySelector(".missing").textContent = "";
    refill(f, question, value);
    all(f, ".choice").forEach(function (c, place) { judgeChoice(c, place, question, value); });
    compare(f, question, value, right);
    all(f, ".balloon").forEach(function (b) { b.classList.toggle("is-right", b.dataset.thing === question.target); });
    all(f, "input, select, .moves button").forEach(function (e) { e.disabled = true; });
    f.querySelector(".skip-question").hidden = f.querySelector(".check-answer").hidden = true;
    f.querySelector(".next").hidden = false;
  }

  // refill puts a stored answer back into the form.
  function refill(f, question, value) {
    if (!value) return;
    if (question.kind === "number") {
      f.elements.number.value = value.number;
      f.elements.unit.value = value.unit;
    } else if (question.kind === "order") {
      var list = f.querySelector(".lines");
      value.chosen.forEach(function (v) { list.appendChild(list.querySelector('[data-value="' + v + '"]')); });
    } else {
      var taken = question.kind === "point" ? [value.target] : value.chosen.map(String);
      all(f, ".choice input").forEach(function (i) { i.checked = taken.indexOf(i.value) >= 0; });
      pickOnFigure(f);
    }
  }

  function judgeChoice(choice, place, question, value) {
    var judged = choice.querySelector(".judged"), feedback = choice.querySelector(".feedback");
    var right, taken;
    if (question.kind === "order") {
      if (!value) return;
      var stands = Number(choice.dataset.value) === place + 1 ? "right" : "wrong";
      choice.classList.add("is-" + stands);
      choice.append(signed(stands));
      return;
    }
    if (question.kind === "point") {
      right = choice.dataset.target === question.target;
      taken = !!value && value.target === choice.dataset.target;
    } else {
      right = question.chosen.indexOf(Number(choice.dataset.value)) >= 0;
      taken = !!value && value.chosen.indexOf(Number(choice.dataset.value)) >= 0;
    }
    var is = right && taken ? "right" : right ? "missed" : taken ? "wrong" : "";
    if (is) choice.classList.add("is-" + is);
    if (judged && is) {
      judged.replaceChildren(signed(is), say("choice." + is));
      judged.hidden = false;
    }
    if (feedback) feedback.hidden = !(right || taken);
  }

  // What is right, wrong and missed has a sign of its own form.
  var strokes = { right: "m4 13 5 5L20 6", wrong: "m5 5 14 14M19 5 5 19", missed: "M12 3a9 9 0 1 0 .1 0M12 7v6M12 17v.1" };
  function signed(is) {
    var svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    svg.setAttribute("class", "sign is-" + is);
    svg.setAttribute("viewBox", "0 0 24 24");
    svg.setAttribute("aria-hidden", "true");
    draw(svg, "path", { d: strokes[is] });
    return svg;
  }

  // compare puts what was answered beside what is right.
  function compare(f, question, value, right) {
    var yours = f.querySelector(".yours"), rights = f.querySelector(".rights"), text = "";
    function words(choices) { return choices.map(function (c) { return c.querySelector(".choice-text").textContent.trim(); }).join("; "); }
    f.querySelector(".beside").hidden = right && question.kind !== "number";
    if (right && question.kind !== "number") return;
    if (question.kind === "order") {
      all(f, value ? ".line" : "none").forEach(function (line) {
        var item = document.createElement("li");
        item.textContent = line.dataset.plain;
        f.querySelector(".yours-order").append(item);
      });
      text = value ? say("your-order") : "";
    } else if (question.kind === "number") {
      text = value ? say("yours", value.number.replace(".", say("decimal")) + " " + value.unit) : "";
    } else {
      text = value ? say("yours", words(all(f, ".choice").filter(function (c) { return c.querySelector("input").checked; }))) : "";
      if (rights) rights.textContent = say("rights", words(all(f, ".choice.is-right, .choice.is-missed")));
    }
    yours.textContent = text || say("left-open");
  }

  // Lines that are put in order

  function endsOf(list) {
    var lines = all(list, ".line");
    lines.forEach(function (line, i) {
      line.querySelector(".up").disabled = i === 0;
      line.querySelector(".down").disabled = i === lines.length - 1;
    });
  }

  function move(line, up, button) {
    var list = line.parentNode, beside = up ? line.previousElementSibling : line.nextElementSibling;
    if (!beside) return;
    if (up) list.insertBefore(line, beside);
    else list.insertBefore(beside, line);
    endsOf(list);
    (button.disabled ? line.querySelector(up ? ".down" : ".up") : button).focus();
    tellPlace(line);
  }

  function tellPlace(line) {
    var lines = all(line.parentNode, ".line");
    announce(say("moved", line.dataset.plain, lines.indexOf(line) + 1, lines.length));
  }

  // A line is dragged by its handle, so that the page can still be scrolled with a finger on a line.
  function draggable(line) {
    var handle = document.createElement("span"), svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    handle.className = "handle";
    svg.setAttribute("viewBox", "0 0 24 24");
    svg.setAttribute("aria-hidden", "true");
    draw(svg, "path", { d: "M5 9h14M5 15h14" });
    handle.append(svg);
    line.prepend(handle);
    handle.addEventListener("pointerdown", function (event) {
      if (line.closest(".answered")) return;
      event.preventDefault();
      handle.setPointerCapture(event.pointerId);
      line.classList.add("dragged");
    });
    handle.addEventListener("pointermove", function (event) {
      if (!line.classList.contains("dragged")) return;
      var list = line.parentNode, after = all(list, ".line").filter(function (other) {
        var box = other.getBoundingClientRect();
        return other !== line && event.clientY < box.top + box.height / 2;
      })[0] || null;
      if (after !== line.nextElementSibling) {
        list.insertBefore(line, after);
        handle.setPointerCapture(event.pointerId); // an element that moves loses it
      }
    });
    ["pointerup", "pointercancel"].forEach(function (end) {
      handle.addEventListener(end, function () {
        if (!line.classList.contains("dragged")) return;
        line.classList.remove("dragged");
        endsOf(line.parentNode);
        tellPlace(line);
      });
    });
  }

  // Pointing at the figure

  function pickOnFigure(f) {
    var taken = f.querySelector(".targets input:checked");
    all(f, ".balloon").forEach(function (b) { b.classList.toggle("active", !!taken && b.dataset.thing === taken.value); });
  }

  // A tap anywhere takes the nearest target within a finger's reach: its letter or the place that it points at.
  function tap(f, event) {
    var best = null, reach = 44;
    all(f, ".balloon").forEach(function (balloon) {
      all(balloon, ".ring, :scope > circle").forEach(function (spot) {
        var box = spot.getBoundingClientRect();
        var far = Math.hypot(event.clientX - box.left - box.width / 2, event.clientY - box.top - box.height / 2);
        if (far < reach) { reach = far; best = balloon; }
      });
    });
    if (!best) return;
    var input = all(f, ".targets input").filter(function (i) { return i.value === best.dataset.thing; })[0];
    if (input && !input.disabled) {
      input.checked = true;
      pickOnFigure(f);
    }
  }

  // Result

  function finish() {
    if (kept.open.again) {
      finishAgain(kept.open);
      return;
    }
    kept.done.push(marking.response(quiz, kept.open, new Date().toISOString()));
    kept.open = null;
    keep();
    document.dispatchEvent(new CustomEvent("matchmark:result", { detail: kept.done[kept.done.length - 1] })); // a class host sends it on
    showResult(kept.done[kept.done.length - 1]);
  }

  // What was asked again leads to no mark: it is shown, and what is still missed can be asked once more.
  function finishAgain(open) {
    var answers = marking.response(quiz, open, "").answers.filter(function (a) { return open.again.indexOf(a.question) >= 0; });
    kept.open = null;
    keep();
    only(byId("quiz-result"));
    byId("result-word").textContent = say("again", answers.filter(function (a) { return a.right; }).length, answers.length);
    byId("result-mark").hidden = byId("result-save").hidden = true;
    byId("result-tries").textContent = say("again-counts-not");
    showAnswers(open.learner, answers, []);
  }

  // showAnswers lists what was answered, and what to read again, by step, and offers to ask again only what was missed.
  function showAnswers(learner, answers, critical) {
    var missed = answers.filter(function (a) { return !a.right; }).map(function (a) { return a.question; });
    byId("result-missed").hidden = !missed.length;
    byId("result-missed").textContent = say.count("missed-only", missed.length);
    byId("result-missed").onclick = function () { byId("quiz-learner").value = learner; begin(missed); };
    byId("result-retry").onclick = function () { byId("quiz-learner").value = learner; begin(); };
    listResults(answers, critical);
    listAgain(missed);
    window.scrollTo(0, 0);
    byId("result-word").focus({ preventScroll: true });
  }

  function listAgain(missed) {
    var list = byId("result-again"), steps = {};
    list.textContent = "";
    missed.forEach(function (id) {
      var f = byId("question-" + id), link = f.querySelector(".verdict a");
      if (!link) return;
      if (!steps[link.href]) {
        var item = document.createElement("li");
        item.append(link.cloneNode(true));
        list.append(steps[link.href] = item);
      }
      var about = document.createElement("span");
      about.textContent = f.querySelector(".stem").textContent.trim();
      steps[link.href].append(about);
    });
    byId("result-again-title").hidden = !list.children.length;
  }

  function showResult(response) {
    var score = response.score;
    only(byId("quiz-result"));
    byId("result-mark").hidden = byId("result-save").hidden = false;
    byId("result-word").textContent = score.passed ? say("passed") : say("failed");
    byId("quiz-result").classList.toggle("passed", score.passed);
    byId("result-score").textContent = say("score", score.points, score.of, score.percent, score.pass);
    var bar = byId("result-bar");
    bar.textContent = "";
    draw(bar, "rect", { class: "reached", x: 0, y: 0, width: score.percent, height: 8 });
    draw(bar, "path", { class: "pass-mark", d: "M" + score.pass + " 0V8" });
    byId("result-critical").hidden = !score.criticalWrong.length;
    byId("result-critical").textContent = say.count("critical", score.criticalWrong.length);
    var left = quiz.tries > 0 ? quiz.tries - triesOf(response.learner).length : -1;
    byId("result-tries").textContent = left < 0 ? "" : left ? say.count("left", left) : say("used");
    byId("result-retry").hidden = left === 0;
    byId("result-save").onclick = function () { save(response); };
    showAnswers(response.learner, response.answers, score.criticalWrong);
  }

  function listResults(answers, critical) {
    var list = byId("result-list");
    list.textContent = "";
    answers.forEach(function (a) {
      var f = byId("question-" + a.question), item = document.createElement("li"), is = a.right ? "right" : "wrong";
      item.className = is;
      var verdict = document.createElement("span"), stem = document.createElement("span");
      verdict.className = "result-verdict";
      verdict.append(signed(is), a.right ? say.count("list.right", a.points) : say("list.wrong"));
      if (critical.indexOf(a.question) >= 0) verdict.append(" · " + f.querySelector(".critical").textContent);
      stem.textContent = f.querySelector(".stem").textContent.trim();
      item.append(verdict, stem);
      list.appendChild(item);
    });
  }

  function save(response) {
    var name = ["quiz", quiz.quiz, response.learner.replace(/[^\p{L}\p{N}]+/gu, "-"), response.try].filter(Boolean).join("-") + ".json";
    var link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([JSON.stringify(response, null, 2) + "\n"], { type: "application/json" }));
    link.download = name;
    link.click();
    setTimeout(function () { URL.revokeObjectURL(link.href); }, 10000);
    announce(say("saved", name));
  }

  // Wiring

  quiz.questions.forEach(function (question, index) {
    var f = form(index);
    f.addEventListener("submit", function (event) {
      event.preventDefault();
      if (!f.classList.contains("answered")) submit(index);
    });
    f.querySelector(".skip-question").addEventListener("click", function () { answer(index, null); });
    f.querySelector(".back").addEventListener("click", function () { show(kept.open.at - 1); });
    f.querySelector(".next").addEventListener("click", function () {
      if (kept.open.at + 1 < places.length) show(kept.open.at + 1);
      else finish();
    });
    all(f, ".moves button").forEach(function (b) {
      b.addEventListener("click", function () { move(b.closest(".line"), b.classList.contains("up"), b); });
      b.addEventListener("keydown", function (event) {
        if (event.key !== "ArrowUp" && event.key !== "ArrowDown") return;
        event.preventDefault();
        move(b.closest(".line"), event.key === "ArrowUp", b);
      });
    });
    all(f, ".line").forEach(draggable);
    if (question.kind === "point") {
      f.querySelector(".balloons").addEventListener("click", function (event) { tap(f, event); });
      f.addEventListener("change", function () { pickOnFigure(f); });
    }
  });
  var search = byId("ui_search"); // before the first question, since the answers are in the steps
  if (search) matchmark.script(search.dataset.late).catch(function () { search.remove(); });
  byId("quiz-go").addEventListener("click", function () { begin(); });
  byId("quiz-resume").addEventListener("click", resume);
  byId("quiz-learner").addEventListener("input", showPast);
  byId("quiz-clear-ask").addEventListener("click", function () { sure(byId("quiz-clear-sure").hidden); });
  byId("quiz-clear-no").addEventListener("click", function () { sure(false); byId("quiz-clear-ask").focus(); });
  byId("quiz-clear-yes").addEventListener("click", function () {
    store.remove(slot);
    kept = read();
    sure(false);
    showStart();
    byId("quiz-learner").focus();
  });

  function sure(asks) {
    byId("quiz-clear-sure").hidden = !asks;
    byId("quiz-clear-ask").setAttribute("aria-expanded", String(asks));
  }

  keep();
  showStart();
  matchmark.loaded(function (missing) {
    if (!missing) document.querySelector(".quiz-facts").append(matchmark.make("li", {}, say("ready")));
  });
})();
