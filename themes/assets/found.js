// What was found decides what is done: conditions of steps and blocks, rounds until a value is good, waits that run,
// values that are shown where they are used and added up.
(function () {
  "use strict";
  var make = matchmark.make;

  // found joins the step page to what its job has found. measured sets a value that is worked out.
  matchmark.found = function (page, measured) {
    var job = page.job, plan = page.plan, articles = page.articles.slice(0, page.steps.length);
    var state = plan.found;
    function phrase(key, ...values) { return state.words[key].replace(/\{(\d)\}/g, function (_, i) { return values[i]; }); }
    function all(root, selector) { return Array.from(root.querySelectorAll(selector)); }
    function indexOf(id) { return page.steps.findIndex(function (step) { return step.id === id; }); }
    function shown(n) { return Number(n).toLocaleString(document.documentElement.lang, { maximumFractionDigits: 6 }); }

    // ---- Values and answers

    function numberAt(key) {
      var m = job.entryAt("measured", key);
      return m && m.value ? Number(m.value) : undefined;
    }
    // value gives the latest number under a name, of one way or of both: {number, unit}.
    function value(name, way) {
      var of = state.values[name];
      var key = of && of.keys.find(function (k) { return (!way || k.indexOf(way + "/") === 0) && numberAt(k) !== undefined; });
      return key ? { number: numberAt(key), unit: job.entryAt("measured", key).unit || of.unit } : undefined;
    }
    // answer gives true, false, or undefined while nobody knows.
    function answer(name) {
      var f = state.finders[name], out = false, open = false;
      if (!f) return undefined;
      var asked = f.keys.filter(function (key) { return !leftOut(key); });
      if (f.kind === "answer") {
        var said = asked.map(job.writtenAt).find(Boolean);
        if (said) return said === "yes";
        open = asked.length > 0;
      } else {
        f.keys.forEach(function (key, i) {
          if (asked.indexOf(key) < 0) return;
          var low = f.limits[i][0], high = f.limits[i][1], n = numberAt(key);
          if (!low && !high) open = open || f.kind === "look" && !(job.entryAt("ticks", key) || {}).value;
          else if (n === undefined) open = true;
          else out = out || low !== "" && n < Number(low) || high !== "" && n > Number(high);
        });
      }
      if (f.kind === "look") {
        out = out || job.findings().some(function (x) { return x.finding.way === f.way && x.finding.step === f.step && (!f.thing || x.finding.thing === f.thing); });
      }
      return out || (open ? undefined : false);
    }
    // leftOut says that the step of a row was left out: what it would have found is not so.
    function leftOut(key) {
      var step = key.slice(key.indexOf("/") + 1).split("--")[0];
      return key.indexOf(plan.way + "/") === 0 ? skipped(indexOf(step)) : Boolean(job.writtenAt(key.split("--")[0] + "--skip"));
    }
    // holds says whether a condition holds, or undefined: cases with | between them, names with & in each.
    function holds(code) {
      var open = false;
      var yes = code.split("|").some(function (way) {
        var is = way.split("&").map(function (literal) {
          var not = literal.charAt(0) === "!", so = answer(not ? literal.slice(1) : literal);
          return so === undefined ? undefined : so !== not;
        });
        if (is.indexOf(false) >= 0) return false;
        if (is.indexOf(undefined) < 0) return true;
        open = true;
        return false;
      });
      return yes || (open ? undefined : false);
    }
    function skipped(i) {
      var code = i >= 0 && i < articles.length && articles[i].dataset.if;
      return Boolean(code) && holds(code) === false;
    }
    function reason(element) { return element.querySelector(".only-if").firstChild.textContent; }
    // note writes down why a step, or blocks of it, were left out, or takes it back.
    function note(i) {
      var out = skipped(i) ? [articles[i]] : all(articles[i], ".only").filter(function (block) { return holds(block.dataset.if) === false; });
      var words = out.map(reason).join(" ").slice(0, 500), row = page.steps[i].id + "--skip";
      if ((out.length || articles[i].dataset.if || articles[i].querySelector(".only")) && (job.confirmed(row) || "") !== words) job.confirm(row, words);
    }

    // ---- Rounds

    function roundOf(i) {
      return state.rounds.find(function (r) { return r.way === plan.way && i < page.steps.length && r.steps.indexOf(page.steps[i].id) >= 0; });
    }
    function firstOf(r) { return indexOf(r.steps[0]); }
    function lastOf(r) {
      var last = indexOf(r.steps[r.steps.length - 1]);
      while (last > firstOf(r) && skipped(last)) last--;
      return last;
    }
    function moreKey(r) { return plan.way + "/" + r.steps[r.steps.length - 1] + "--more"; }
    // endless says that all rounds were gone through, and the value is still not good.
    function endless(r) { return holds(r.until) === false && job.round(r) >= r.most; }

    // ---- Waits

    function waitKey(w) { return w.way + "/" + w.step + "--wait"; }
    // left gives the seconds of a wait that are left; undefined when it was not begun.
    function left(w) {
      var begun = job.entryAt("ticks", waitKey(w));
      return begun && begun.value ? Math.max(0, w.seconds - (Date.now() - begun.at) / 1000) : undefined;
    }
    function counts(w) { return !skipped(indexOf(w.step)) && (!w.if || holds(w.if) !== false); }
    function clock(seconds) {
      var s = Math.ceil(seconds), m = Math.floor(s / 60);
      return m + ":" + String(s % 60).padStart(2, "0");
    }
    function minutes(seconds) { return matchmark.spell(Math.ceil(seconds / 60)); }

    // barred says why nothing of a step may be done yet; "" when it may.
    function barred(i) {
      if (i >= articles.length) return "";
      var code = articles[i].dataset.if;
      if (code && holds(code) === undefined) return phrase("undecided");
      var wait = state.waits.find(function (w) { return w.holds.indexOf(page.steps[i].id) >= 0 && counts(w) && left(w) !== 0; });
      if (!wait) return "";
      return left(wait) === undefined ? phrase("not-begun", indexOf(wait.step) + 1) : phrase("waits", wait.words, minutes(left(wait)));
    }
    // shut says why the way to the next step is shut; "" when it is open.
    function shut(i) {
      var r = roundOf(i);
      if (skipped(i)) return "";
      if (barred(i)) return barred(i);
      if (!r || lastOf(r) !== i) return "";
      if (holds(r.until) === undefined) return phrase("round-open", r.words);
      return endless(r) && !job.writtenAt(moreKey(r)) ? phrase("call", r.most) : "";
    }

    // ---- What the page shows

    function fillValues() {
      all(document, "[data-value]").forEach(function (output) {
        var data = output.dataset, is = value(data.value, data.way);
        if (data.text === undefined) data.text = output.textContent;
        var label = data.way ? data.text : (state.values[data.value] || { label: data.text }).label;
        var words = is ? phrase("value", label, shown(is.number), is.unit) : data.text;
        if (output.textContent !== words) output.textContent = words;
      });
    }
    // addUp works out the sums; one whose values are not all there has no number.
    function addUp() {
      all(document, "li[data-sum]").forEach(function (row) {
        var known = true, sum = 0;
        state.values[row.dataset.thing].sum.forEach(function (part) {
          var is = value(part.name);
          if (is) sum += part.factor * is.number;
          known = known && Boolean(is);
        });
        measured.set(row.id, known ? String(Number(sum.toFixed(6))) : "");
      });
    }
    function showRound(i, r) {
      var count = job.round(r), article = articles[i], line = article.querySelector(".this-round");
      if (!line) article.querySelector("header").after(line = make("p", { className: "this-round" }));
      line.textContent = phrase("round", count, r.most);
      var field = article.querySelector(".more");
      if (i !== lastOf(r) || !endless(r)) {
        if (field) field.remove();
        return;
      }
      if (field) return;
      var input = make("input", { type: "text", maxLength: 40, autocomplete: "off", value: job.writtenAt(moreKey(r)) || "" });
      input.addEventListener("change", function () { job.write(moreKey(r), input.value.trim()); });
      article.querySelector(".work").append(make("p", { className: "more" }, make("label", {}, phrase("more"), " ", input)));
    }
    function refresh() {
      addUp();
      fillValues();
      articles.forEach(function (article, i) {
        article.classList.toggle("skipped", skipped(i));
        var line = article.querySelector(":scope > .only-if.i-only");
        if (line) mark(line, article.dataset.if);
        all(article, ".only").forEach(function (block) {
          block.classList.toggle("skipped", holds(block.dataset.if) === false);
          mark(block.querySelector(".only-if"), block.dataset.if);
        });
        var r = roundOf(i);
        if (r) showRound(i, r);
      });
      tick();
    }
    // mark says behind a condition whether it holds.
    function mark(line, code) {
      var sign = line.querySelector("b");
      if (!sign) line.append(" ", sign = make("b"));
      var is = holds(code);
      sign.textContent = phrase(is === undefined ? "open" : is ? "holds" : "left-out");
    }
    function tick() {
      all(document, "li[data-seconds]").forEach(function (row) {
        var w = state.waits.find(function (x) { return x.step === row.closest(".step").id; });
        var sign = row.querySelector(".left"), rest = w && left(w);
        if (!sign) row.append(sign = make("strong", { className: "left" }));
        sign.textContent = rest === undefined ? phrase("begin") : rest ? clock(rest) : phrase("over");
      });
      all(document, ".series").forEach(function (line) {
        var data = line.dataset, key = line.closest(".step").id + "--begin-" + data.name;
        var begun = job.entryAt("confirmed", plan.way + "/" + key), sign = line.querySelector("b");
        if (!sign) {
          line.append(" ", sign = make("b"), " ", matchmark.button(phrase("begin-series"), function () { job.confirm(key, true); tick(); }));
        }
        var gone = begun && begun.given ? (Date.now() - begun.at) / 1000 : undefined;
        var point = gone === undefined ? 0 : Math.floor(gone / Number(data.every)) + 1;
        line.querySelector("button").hidden = gone !== undefined;
        sign.textContent = gone === undefined ? "" : point > Number(data.points) ? phrase("over") : phrase("next-reading", point, clock(point * Number(data.every) - gone));
      });
    }

    // ---- Decisions: yes and no in place of the tick box

    all(document, "li.i-decide").forEach(function (row) {
      var group = make("span", { className: "answers" });
      ["yes", "no"].forEach(function (word) {
        var input = make("input", { type: "radio", name: row.id, value: word, id: row.id + "--" + word });
        input.dataset.decide = row.id;
        input.addEventListener("change", function () { job.confirm(row.id, word); });
        group.append(make("label", {}, input, " ", phrase(word)));
      });
      group.setAttribute("role", "radiogroup");
      group.setAttribute("aria-label", row.textContent.trim());
      row.querySelector("input").replaceWith(make("span", { className: "no-box" }));
      row.append(group);
    });

    return {
      skips: skipped, shut: shut, barred: barred, refresh: refresh, tick: tick,
      reason: function (i) { return reason(articles[i]); },
      // off says that a row stands in a block that is not done, or not decided.
      off: function (input) {
        for (var block = input.closest(".only"); block; block = block.parentElement.closest(".only")) if (holds(block.dataset.if) !== true) return true;
        return false;
      },
      // next gives the step that comes behind the i-th: the first of its round again, or the next one that is not left out.
      next: function (i) {
        var r = roundOf(i), k = i + 1;
        note(i);
        if (r && lastOf(r) === i && holds(r.until) === false && job.round(r) < r.most) {
          job.write(plan.way + "/" + r.steps[0] + "--round", String(job.round(r) + 1));
          return firstOf(r);
        }
        for (; k < articles.length && skipped(k); k++) note(k);
        return k;
      },
      // back gives the step before the i-th that is not left out.
      back: function (i) {
        for (var k = i - 1; k > 0 && skipped(k); k--);
        return k;
      },
      // running lists the waits that run, in words.
      running: function () {
        return state.waits.filter(function (w) { return left(w) > 0; }).map(function (w) { return phrase("runs", w.words, minutes(left(w))); });
      },
      fillIn: function () {
        all(document, "[data-decide]").forEach(function (input) { input.checked = job.confirmed(input.dataset.decide) === input.value; });
      },
    };
  };
})();
