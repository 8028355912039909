// The record as a file: saved from here, opened here, and the jobs that stay on this
// tablet until they were saved or taken away. Nothing of a record reaches the page but as text.
(function () {
  "use strict";
  var say = matchmark.words("keeping");
  var make = matchmark.make, button = matchmark.button;
  var mostBytes = 64 << 20, roomForPhotos = 60 << 20;

  function bytes(data) { return Uint8Array.from(atob(data), function (c) { return c.charCodeAt(0); }); }

  // withPhotos gives {record, missing}: a copy with the photos inside that this tablet has and that fit.
  async function withPhotos(record) {
    var out = JSON.parse(JSON.stringify(record)), missing = 0, size = 0;
    for (var name of Object.keys(out.photos || {}).sort()) {
      var blob = await matchmark.photos.get(name);
      if (blob && (size += blob.size / 3 * 4) < roomForPhotos) out.photos[name].data = await matchmark.photos.base64(blob);
      else missing++;
    }
    return { record: out, missing: missing };
  }

  // fileName is matchmark-PROCEDURE-VARIANT-DATE-JOB4.json.
  function fileName(record) {
    var day = new Date(), two = function (n) { return String(n).padStart(2, "0"); };
    var date = [day.getFullYear(), two(day.getMonth() + 1), two(day.getDate())].join("-");
    return ["matchmark", record.procedure].concat(record.variant || [], date, record.job.slice(0, 4)).join("-") + ".json";
  }

  function download(text, name) {
    var link = make("a", { href: URL.createObjectURL(new Blob([text], { type: "application/json" })), download: name });
    link.click();
    setTimeout(function () { URL.revokeObjectURL(link.href); }, 60000);
  }
  async function save(record) {
    var full = await withPhotos(record);
    download(matchmark.canonical(full.record) + "\n", fileName(record));
    return full.missing;
  }

  // photosOf keeps the photos of a record that was opened. It gives the names of those that are not what they should be.
  async function photosOf(record, keep) {
    var wrong = [];
    for (var name of Object.keys(record.photos || {})) {
      if (!record.photos[name].data) continue;
      try {
        var data = bytes(record.photos[name].data);
        if (keep) await matchmark.photos.take(name, new Blob([data], { type: "image/jpeg" }));
        else if (matchmark.sha256(data) !== name) wrong.push(name);
      } catch (broken) {
        wrong.push(name);
      }
    }
    return wrong;
  }

  // keeping puts its part into the dialog of steps and into the closing page.
  matchmark.keeping = function (page, findings) {
    var job = page.job, panels = [];
    var told = [], question = []; // what was done last, and what has to be answered

    function tell(text, more) {
      told = [text].concat(more || []);
      question = [];
      refresh();
    }

    function saveFile() {
      return save(job.record()).then(function (missing) {
        job.filed();
        tell(say("saved", fileName(job.record())), missing ? [say.count("missing", missing)] : []);
      });
    }

    function stepsPage(record) { return "../" + record.procedure + "/steps" + (record.variant ? "-" + record.variant : "") + ".html"; }

    async function openFile(file) {
      if (file.size > mostBytes) return tell(say("fault.big"));
      var read = matchmark.readRecord(await file.text());
      if (read.fault) return tell(say("fault." + read.fault), read.at ? [say("at", read.at)] : []);
      var other = read.record;
      if (other.procedure !== page.plan.procedure || (other.variant || "") !== page.plan.variant) {
        return tell(say("elsewhere", other.procedure + (other.variant ? " (" + other.variant + ")" : "")), [make("a", { className: "button", href: stepsPage(other) }, say("to-page"))]);
      }
      if ((await photosOf(other)).length) return tell(say("fault.photo"));
      if (other.job === job.record().job) return put(other, job.take);
      if (job.fresh()) return put(other, job.join);
      tell(say("other-job"), []);
      question = [
        [say("go-on"), function () { put(other, job.join); }], [say("together"), function () { put(other, job.take); }], [say("leave"), function () { tell(""); }],
      ];
      refresh();
    }
    // put takes a record in by the way that was chosen, its photos first.
    async function put(other, way) {
      await photosOf(other, true);
      way(other);
      tell(job.kept ? say("taken", Object.keys(other.findings || {}).length) : say("not-kept"));
    }

    // ---- Earlier jobs on this tablet

    function earlierKeys() { return matchmark.store.keys().filter(function (key) { return key.indexOf("matchmark.record-done.") === 0; }); }
    function earlier() {
      return earlierKeys().map(function (key) {
        return { key: key, record: matchmark.readRecord(matchmark.store.get(key) || "").record };
      }).filter(function (e) { return e.record; });
    }
    function earlierLine(e) {
      var r = e.record;
      var text = say("earlier-job", r.machine.value || say("unnamed"), new Date(matchmark.lastChange(r)).toLocaleDateString(document.documentElement.lang), r.procedure + (r.variant ? " (" + r.variant + ")" : ""));
      var li = make("li", {}, make("span", {}, text));
      if (r.procedure === page.plan.procedure && (r.variant || "") === page.plan.variant) li.append(button(say("go-on"), function () { job.join(r); tell(say("joined")); }));
      li.append(button(say("save"), function () {
        save(r).then(function (missing) { tell(say("saved", fileName(r)), missing ? [say.count("missing", missing)] : []); });
      }));
      // Taking away asks once more on the same spot.
      var away = button(say("away"), function () {
        if (away.dataset.sure) {
          matchmark.store.remove(e.key);
          return refresh();
        }
        away.dataset.sure = "yes";
        away.textContent = say("away-sure");
      });
      li.append(away);
      return li;
    }

    // ---- The part of the page

    function panel(into, where) {
      var id = "ui_" + where + "-";
      function field(what, text, value, write) {
        var input = make("input", { type: "text", id: id + what, maxLength: 80, autocomplete: "off", value: value() });
        input.addEventListener("input", function () { write(Array.from(input.value.replace(/[\0-\x1f]/g, "")).slice(0, 80).join("").trim()); });
        fields.push(function () { if (input !== document.activeElement) input.value = value(); });
        return make("p", { className: "field" }, make("label", { htmlFor: input.id }, text), input);
      }
      var fields = [];
      var chooser = make("input", { type: "file", accept: ".json,application/json", hidden: true, id: id + "file" });
      chooser.addEventListener("change", function () {
        var file = chooser.files[0];
        if (file) openFile(file).finally(function () { chooser.value = ""; });
      });
      var message = make("div", { className: "told-of" }), list = make("div", {}), found = make("div", {});
      message.setAttribute("role", "status");
      var saveButton = button(say("save"), saveFile, where === "end" ? "main" : "");
      saveButton.id = id + "save";
      var box = make("section", { className: "keeping" });
      box.setAttribute("aria-label", say("title"));
      box.append(
        make("div", { className: "fields" }, field("machine", say("machine"), job.machine, job.nameMachine), field("learner", say("learner"), job.learner, job.nameLearner)),
        found, make("p", { className: "choices" }, saveButton, button(say("open"), function () { chooser.click(); }), chooser), message, list
      );
      into.prepend(box);
      panels.push({ fields: fields, message: message, list: list, found: where === "end" ? found : null });
    }

    function refresh() {
      panels.forEach(function (p) {
        p.fields.forEach(function (fill) { fill(); });
        var parts = told.filter(Boolean).map(function (part) { return typeof part === "string" ? make("p", {}, part) : part.cloneNode(true); });
        if (question.length) parts.push(make("p", { className: "choices" }, ...question.map(function (q) { return button(q[0], q[1]); })));
        p.message.replaceChildren.apply(p.message, parts);
        if (p.found) foundHere(p.found);
        var keys = earlierKeys().join();
        if (p.list.dataset.keys === keys) return; // so that a touch does not lose its place
        p.list.dataset.keys = keys;
        var jobs = earlier();
        p.list.replaceChildren(...jobs.length ? [make("h3", {}, say("earlier")), make("ul", { className: "earlier" }, ...jobs.map(earlierLine))] : []);
      });
    }

    function foundHere(box) {
      var all = job.findings();
      box.replaceChildren(make("h3", {}, all.length ? say.count("findings", all.length) : say("no-findings")), ...all.length ? [
        make("ul", { className: "earlier" }, ...all.map(function (entry) {
          return make("li", {}, make("span", {}, findings.title(entry.finding) + ", " + findings.stepWord(entry.finding) + (job.repaired(entry.name) ? ", " + say("repaired") : "")));
        })),
        make("p", {}, button(say("show-findings"), findings.showList)),
      ] : []);
    }

    panel(document.querySelector("#ui_list .start-over"), "job");
    panel(document.querySelector("#ui_end .work"), "end");
    refresh();
    return {
      refresh: refresh, saveFile: saveFile,
      // saveUnread saves what these pages could not read, and then drops it.
      saveUnread: function () {
        download(job.unread, "matchmark-" + page.plan.procedure + "-unread.json");
        job.dropUnread();
      },
      // cannotStartOver says that the old job could not be kept.
      cannotStartOver: function () { tell(say("no-start-over")); },
    };
  };
})();
