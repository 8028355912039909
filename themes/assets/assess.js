// The practical assessment, filled in on a device: one learner, one attempt. On the class host with the board open it goes to
// the host; anywhere else it is saved as a file. What is filled in stays on the device until it is kept.
(function () {
  "use strict";
  var form = /** @type {any} */ (document.getElementById("ui_assess"));
  var make = matchmark.make, shelf = matchmark.store, draftKey = "matchmark.assess." + location.pathname;
  var hosted = Boolean(document.getElementById("ui_class_data")), toHost = false, scarce = "";
  var people = /** @type {{ id: string, name: string }[]} */ ([]);
  var words = {};
  /** @type {any} */ (document.getElementById("ui_assess-words")).content.querySelectorAll("b").forEach(function (b) { words[b.dataset.key || ""] = b.textContent; });
  function word(key, value) { return words[key].replace("{0}", value || ""); }
  function byId(id) { return /** @type {any} */ (document.getElementById("ui_assess-" + id)); }
  var fields = ["learner", "observer", "role", "attempt", "record", "again"];
  var rows = Array.from(document.querySelectorAll("tr[data-line], tr[data-aim]")).map(function (tr) {
    var row = /** @type {HTMLElement} */ (tr);
    return row.dataset.line ? lineOf(row, row.dataset.line) : aimOf(row, row.dataset.aim || "");
  });

  // lineOf puts what is filled in of a line into its row.
  function lineOf(tr, id) {
    var what = tr.cells[0].textContent.trim(), td = make("td", { className: "assess-cell", colSpan: 3 });
    var choices = ["seen", "missed"].map(function (value) {
      var radio = make("input", { type: "radio", name: "ui_line-" + id, value: value });
      radio.setAttribute("aria-label", word(value) + ": " + what);
      td.append(make("label", {}, radio, word(value)));
      return radio;
    });
    var evidence = make("input", { type: "text", maxLength: 200, placeholder: word("evidence") });
    evidence.setAttribute("aria-label", word("evidence") + ": " + what);
    td.append(evidence);
    tr.append(td);
    return {
      tr: tr, line: id, must: "must" in tr.dataset,
      get: function () { var on = choices.find(function (c) { return c.checked; }); return [on ? on.value : "", evidence.value.trim()]; },
      set: function (value) {
        choices.forEach(function (c) { c.checked = c.value === value[0]; });
        evidence.value = value[1] || "";
      },
    };
  }

  // aimOf puts the verdict on an aim into its row.
  function aimOf(tr, number) {
    var what = tr.cells[0].textContent.trim(), choice = make("select");
    choice.setAttribute("aria-label", what);
    ["", "alone", "help", "not-yet"].forEach(function (v) { choice.append(make("option", { value: v }, v ? word("verdict." + v) : word("unrated"))); });
    tr.append(make("td", { className: "assess-cell", colSpan: 2 }, choice));
    return {
      tr: tr, aim: Number(number), words: what,
      get: function () { return [choice.value]; },
      set: function (value) { choice.value = value[0] || ""; },
    };
  }

  function fill(draft) {
    fields.forEach(function (f) { byId(f).value = draft[f] || { role: "does", attempt: "1" }[f] || ""; });
    rows.forEach(function (r) { r.set((draft.rows || {})[r.line || r.aim] || []); });
  }
  function draft() {
    var out = { rows: {} };
    fields.forEach(function (f) { out[f] = byId(f).value.trim(); });
    rows.forEach(function (r) { if (r.get().join("")) out.rows[r.line || r.aim] = r.get(); });
    return out;
  }

  // saveDraft keeps the draft, and says while that does not work.
  function saveDraft() {
    var kept = shelf.set(draftKey, JSON.stringify(draft()));
    byId("loose").textContent = kept ? scarce : word("unstored");
    matchmark.hold(function () {
      scarce = word("scarce");
      saveDraft();
    });
  }

  // empty makes the form ready for the next learner, with the same observer.
  function empty() {
    var observer = byId("observer").value;
    shelf.remove(draftKey);
    byId("loose").textContent = "";
    fill({ observer: observer });
    byId("problem").textContent = "";
  }

  function begin(open) {
    document.documentElement.classList.toggle("filling", open);
    byId("begin").setAttribute("aria-expanded", String(open));
    byId("fields").hidden = !open;
    if (open) where();
  }

  // where finds out where it goes, and tells.
  async function where() {
    byId("where").textContent = word("elsewhere");
    if (!hosted) return;
    try {
      var reply = await fetch("/board/learners", { cache: "no-store" });
      toHost = reply.ok;
      if (toHost) people = (await reply.json()).filter(function (p) { return !p.trainer; });
    } catch (away) {
      toHost = false;
    }
    byId("people").replaceChildren.apply(byId("people"), people.map(function (p) { return make("option", { value: p.name }); }));
    byId("where").textContent = toHost ? word("here") : "";
    if (!toHost) byId("where").append(make("a", { href: "/board/?to=" + encodeURIComponent(location.pathname) }, word("enter")));
  }

  // filled is what was filled in, as the host and the command read it.
  function filled() {
    var d = /** @type {any} */ (draft()), aims = [], lines = [];
    rows.forEach(function (r) {
      var value = r.get();
      if (r.aim && value[0]) aims.push({ number: r.aim, words: r.words, verdict: value[0] });
      if (r.line && value[0]) lines.push({ line: r.line, must: r.must, seen: value[0] === "seen", evidence: value[1] });
    });
    return {
      format: "matchmark assessment", version: 1, procedure: form.dataset.procedure, way: form.dataset.way, variant: form.dataset.variant,
      learner: d.learner, observer: d.observer, role: d.role, attempt: Number(d.attempt), finished: new Date().toISOString(), record: d.record, aims: aims, lines: lines, again: d.again,
    };
  }

  async function keep() {
    var problem = byId("problem"), what = filled(), open = rows.find(function (r) { return (r.must || r.get()[1]) && !r.get()[0]; });
    byId("said").textContent = problem.textContent = "";
    rows.forEach(function (r) { r.tr.classList.toggle("assess-open", r === open); });
    if (!what.learner || !what.observer) { problem.textContent = word("who"); return; }
    if (open) {
      problem.textContent = word("open");
      open.tr.querySelector("input").focus();
      return;
    }
    if (!toHost) { save(what); return; }
    byId("keep").disabled = true;
    try {
      var reply = await fetch("/board/assessment", { method: "POST", cache: "no-store", headers: { "Content-Type": "application/json" }, body: JSON.stringify(what) });
      var answer = reply.ok ? {} : await reply.json();
      if (reply.ok) told(word("kept", what.learner));
      else problem.textContent = word("refused", [answer.problem, answer.do].filter(Boolean).join(" "));
    } catch (away) {
      problem.textContent = word("away");
    }
    byId("keep").disabled = false;
  }

  function save(what) {
    var name = ["assessment", what.procedure, what.way, what.finished.slice(0, 19).replace(/[:T]/g, "-")].join("-") + ".json";
    var address = URL.createObjectURL(new Blob([JSON.stringify(what, null, 1) + "\n"], { type: "application/json" }));
    make("a", { href: address, download: name }).click();
    setTimeout(function () { URL.revokeObjectURL(address); }, 60000);
    told(word("saved", name));
  }

  function told(text) {
    empty();
    byId("said").textContent = text;
    byId("learner").focus();
  }

  form.hidden = false;
  form.addEventListener("submit", function (e) { e.preventDefault(); keep(); });
  byId("begin").addEventListener("click", function () { begin(byId("fields").hidden); });
  byId("empty").addEventListener("click", function () { empty(); byId("said").textContent = word("emptied"); });
  document.addEventListener("input", function (e) {
    if (/** @type {HTMLElement} */ (e.target).closest(".assess, .assess-cell")) saveDraft();
  });
  try {
    var before = JSON.parse(shelf.get(draftKey) || "null");
    if (before) {
      fill(before);
      begin(true);
      saveDraft();
    }
  } catch (damaged) {
    shelf.remove(draftKey);
  }
})();
