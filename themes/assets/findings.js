// Findings: what was found at the bench. One touch on the thing and one on what is wrong
// with it, and the finding is kept; the rest can be added, and is kept as it is typed.
(function () {
  "use strict";
  var say = matchmark.words("findings");
  var make = matchmark.make, button = matchmark.button;
  var kinds = ["damaged", "worn", "missing", "leaking", "contaminated", "wrong-part", "bad-repair"];
  var severities = ["before-refit", "stops-work", "watch"];

  function kindWord(kind) { return say("kind." + kind); }
  // typed takes characters out of a text that are none to read.
  function typed(field) { return field.value.replace(/[\0-\x08\x0b\f\x0e-\x1f]/g, ""); }
  function cut(text) { return Array.from(text.replace(/[\0-\x1f]/g, " ")).slice(0, 80).join(""); }

  // findings joins the dialog to a step page: its job, its plan and where it stands.
  matchmark.findings = function (page) {
    var job = page.job, plan = page.plan;
    var things = {};
    plan.things.forEach(function (thing) { things[thing.id] = thing; });

    // title gives a finding in few words: "Drive gearbox (G): damaged".
    function title(f) {
      var thing = things[f.thing];
      return say("title", thing && thing.no ? say("numbered", f.name, thing.no) : f.name, kindWord(f.kind));
    }
    // gates gives the index of the step of the refitting that waits for a repair, -1 when nothing does.
    function gates(f) {
      if (f.withdrawn || f.severity === "watch" || !plan.back.length) return -1;
      return Math.max(0, plan.back.findIndex(function (step) { return step.id === f.before; }));
    }
    // gateFor gives the step of the refitting before which a thing must be sound: that in which it goes
    // back. In the refitting that is no step which is through already.
    function gateFor(thing) {
      var from = plan.way === "back" ? Math.min(page.current(), plan.back.length - 1) : 0;
      var i = plan.back.findIndex(function (step, k) { return k >= from && step.fits.indexOf(thing) >= 0; });
      return i >= 0 ? plan.back[i].id : from > 0 ? plan.back[from].id : "";
    }
    // stepWord says at which step a finding was made.
    function stepWord(f) {
      var i = f.way === plan.way ? page.steps.findIndex(function (step) { return step.id === f.step; }) : -1;
      if (i >= 0) return say("in-step", i + 1);
      i = f.way === "back" ? plan.back.findIndex(function (step) { return step.id === f.step; }) : -1;
      return i >= 0 ? say("in-step-back", i + 1) : f.way === "back" ? say("on-way-back") : say("on-way-out");
    }

    // ---- The dialog

    var dialog = make("dialog", { className: "list finding", id: "ui_finding" });
    var heading = make("h2", { id: "ui_finding-title", tabIndex: -1 });
    var listButton = button("", showList, "i-steps");
    var troubles = make("div", { className: "notices" });
    var body = make("div", { className: "finding-body" });
    troubles.setAttribute("role", "alert");
    dialog.setAttribute("aria-labelledby", heading.id);
    listButton.id = "ui_all-findings";
    dialog.append(make("header", { className: "list-head" }, heading, listButton, button(say("close"), function () { dialog.close(); }, "i-close")), troubles, body);
    document.body.append(dialog);

    var name = "", chosen = {}; // the finding in hand, and what was touched of a new one
    var trouble = ""; // what went wrong with a photo
    var gone = []; // withdrawn since the dialog opened
    var listed = false; // the list of findings is shown

    function open(view) {
      trouble = "";
      gone = [];
      view();
      if (!dialog.open) dialog.showModal();
      heading.focus();
      matchmark.photos.refused().then(function (refused) {
        if (refused && !trouble) trouble = say("no-photos");
        showTroubles();
      });
    }
    function fill(text, parts) {
      listed = text === say("list");
      heading.textContent = text;
      body.replaceChildren.apply(body, parts);
      body.scrollTop = 0;
      showCount();
      showTroubles();
    }
    function showCount() {
      var n = job.findings().length;
      listButton.textContent = say.count("all", n);
      listButton.hidden = !n || listed;
      document.getElementById("ui_finding-count").textContent = n || "";
      document.getElementById("ui_open-finding").title = n ? say.count("open-count", n) : say("open");
    }
    function showTroubles() {
      var lines = [];
      if (!job.kept) lines.push([say("not-kept"), say("save-file"), page.saveFile]);
      else if (page.scarce) lines.push([page.scarce, say("save-file"), page.saveFile]);
      if (trouble) lines.push(trouble === say("no-picture") ? [trouble, say("file"), function () { body.querySelector("[data-photo=file]").click(); }] : [trouble, say("save-file"), page.saveFile]);
      var text = lines.map(function (line) { return line[0]; }).join("\n");
      if (troubles.dataset.text === text) return; // do not read the same out again
      troubles.dataset.text = text;
      troubles.replaceChildren.apply(troubles, lines.map(function (line) {
        return make("p", { className: "notice-line" }, line[0], button(line[1], line[2]));
      }));
    }

    // ---- Two touches: thing and kind

    function showPicker() {
      var searching = false, others = make("div", { className: "picks", hidden: true }), search = make("input", { type: "search", id: "ui_finding-search", autocomplete: "off" });
      var own = make("input", { type: "text", id: "ui_finding-other", maxLength: 80, autocomplete: "off", value: chosen.other || "" });
      var searchRow = make("p", { className: "field", hidden: true }, make("label", { htmlFor: search.id }, say("search")), search);
      var ownRow = make("p", { className: "field", hidden: chosen.other === undefined }, make("label", { htmlFor: own.id }, say("other-words")), own);
      var near = page.thingsOf(page.current()).filter(function (id) { return things[id]; });
      if (chosen.thing && near.indexOf(chosen.thing) < 0 && things[chosen.thing]) near.unshift(chosen.thing);
      var state = make("p", { className: "finding-state" });
      state.setAttribute("role", "status");

      function thingButton(id) {
        var thing = things[id];
        var b = button("", function () { touch({ thing: id, other: undefined }); });
        if (thing.no) b.append(make("b", { className: "chip" }, thing.no));
        b.append(make("span", {}, thing.name));
        b.dataset.pick = "thing " + id;
        return b;
      }
      function touch(change) {
        Object.assign(chosen, change);
        if (!write()) mark();
      }
      function write() {
        var named = chosen.thing ? things[chosen.thing].name : (chosen.other || "").trim();
        if (!named || !chosen.kind) return false;
        save(named);
        showDetails();
        return true;
      }
      function mark() {
        body.querySelectorAll("[data-pick]").forEach(function (b) {
          b.setAttribute("aria-pressed", String(b.dataset.pick === "thing " + chosen.thing || b.dataset.pick === "kind " + chosen.kind || b.dataset.pick === "other" && chosen.other !== undefined));
        });
        ownRow.hidden = chosen.other === undefined;
        state.textContent = chosen.kind ? say("ask-thing") : chosen.thing || chosen.other ? say("ask-kind") : say("ask");
      }
      function find() {
        var words = search.value.toLowerCase().split(/\s+/);
        others.replaceChildren.apply(others, plan.things.filter(function (thing) {
          var text = (thing.no || "") + " " + thing.name.toLowerCase();
          return words.every(function (word) { return text.toLowerCase().indexOf(word) >= 0; });
        }).map(function (thing) { return thingButton(thing.id); }));
        mark();
      }
      search.addEventListener("input", find);
      own.addEventListener("input", function () { chosen.other = cut(own.value); });
      own.addEventListener("change", function () { write(); });

      var more = button(say("another"), function () {
        searching = !searching;
        others.hidden = searchRow.hidden = !searching;
        more.setAttribute("aria-expanded", String(searching));
        find();
        if (searching) search.focus();
      });
      more.setAttribute("aria-expanded", "false");
      var other = button(say("other"), function () {
        touch({ thing: undefined, other: chosen.other || "" });
        own.focus();
      });
      other.dataset.pick = "other";
      fill(name ? say("change") : say("new"), [
        make("h3", {}, say("which")),
        make("div", { className: "picks" }, ...near.map(thingButton), more, other),
        searchRow, others, ownRow,
        make("h3", {}, say("wrong")),
        make("div", { className: "picks" }, ...kinds.map(function (kind) {
          var b = button(kindWord(kind), function () { touch({ kind: kind }); });
          b.dataset.pick = "kind " + kind;
          return b;
        })),
        state,
      ]);
      mark();
    }

    // save writes down which thing it is and what is wrong with it.
    function save(named) {
      var fields = { thing: chosen.thing || "", other: chosen.thing ? "" : named, name: cut(named), kind: chosen.kind };
      if (!name) {
        name = matchmark.newName();
        var i = Math.min(page.current(), page.steps.length - 1);
        Object.assign(fields, { way: plan.way, step: page.steps[i].id, severity: "before-refit", before: gateFor(chosen.thing) });
      }
      job.find(name, fields);
    }

    // ---- What can be added

    function showDetails() {
      var f = job.finding(name);
      var before = make("select", { id: "ui_finding-before" }, make("option", { value: "" }, say("before-start")));
      plan.back.forEach(function (step, i) { before.append(make("option", { value: step.id }, say("before-step", i + 1, step.title))); });
      before.value = f.before || "";
      before.addEventListener("change", function () { change({ before: before.value }); });
      var beforeRow = field(before, say("before"));
      beforeRow.hidden = !plan.back.length || f.severity === "watch";

      // While it stops the work, only the trainer lets the work go on. Where no host can be asked, nobody could.
      var stands = matchmark.host && stopping(name);
      var levels = make("fieldset", { className: "levels" }, make("legend", {}, say("severity")), ...severities.map(function (severity) {
        var radio = make("input", { type: "radio", name: "ui_severity", value: severity, checked: f.severity === severity, disabled: Boolean(stands) && severity !== "stops-work" });
        radio.addEventListener("change", function () {
          change({ severity: severity });
          beforeRow.hidden = !plan.back.length || severity === "watch";
        });
        return make("label", {}, radio, make("span", {}, make("b", {}, say("severity." + severity)), " ", say("severity-means." + severity)));
      }));

      fill(say("details"), [
        make("p", { className: "finding-kept" }, make("strong", {}, title(f)), make("span", {}, stepWord(f)), button(say("change"), function () {
          chosen = { thing: f.thing, kind: f.kind, other: f.thing ? undefined : f.other };
          showPicker();
        })),
        levels, beforeRow,
        field(area("words", f.words), say("words")), field(area("repair", f.repair), say("repair")),
        photoPart(),
        make("p", { className: "choices" }, button(say("done"), function () { dialog.close(); }, "main"), stands ? "" : button(say("withdraw"), function () { withdraw(name); })),
      ]);
    }
    function field(input, text) { return make("p", { className: "field" }, make("label", { htmlFor: input.id }, text), input); }
    function area(what, text) {
      var input = make("textarea", { id: "ui_finding-" + what, rows: 2, maxLength: 2000, value: text || "" });
      input.addEventListener("input", function () {
        var is = {};
        is[what] = typed(input);
        change(is);
      });
      return input;
    }
    function change(fields) { job.find(name, fields); }

    function photoPart() {
      var shown = make("div", { className: "photos" });
      function show() {
        shown.replaceChildren.apply(shown, (job.finding(name).photos || []).map(function (photo) {
          var box = thumb(photo);
          box.append(button(say("photo-off"), function () {
            change({ photos: job.finding(name).photos.filter(function (other) { return other !== photo; }) });
            show();
          }));
          return box;
        }));
      }
      // Two fields: with "capture" many devices open the camera at once, without it they ask for a file.
      function chooser(text, camera) {
        var input = make("input", { type: "file", accept: "image/*", hidden: true });
        if (camera) input.setAttribute("capture", "environment");
        input.dataset.photo = camera ? "camera" : "file";
        input.addEventListener("change", function () {
          var file = input.files[0];
          input.value = "";
          if (file) addPhoto(file, show);
        });
        return [button(text, function () { input.click(); }), input];
      }
      show();
      return make("div", { className: "field" }, make("h3", {}, say("photos")), shown,
        make("div", { className: "choices" }, ...chooser(say("camera"), true), ...chooser(say("file"), false)));
    }

    function addPhoto(file, show) {
      var into = name;
      matchmark.photos.put(file).then(function (photo) {
        job.addPhoto(photo);
        var photos = job.finding(into).photos || [];
        if (photos.indexOf(photo.name) < 0) job.find(into, { photos: photos.concat(photo.name) });
        trouble = photo.lost ? say("lost." + photo.lost) : "";
        if (into === name) show();
        showTroubles();
      }, function () {
        trouble = say("no-picture");
        showTroubles();
      });
    }

    // thumb shows a photo, or says that another tablet has it.
    function thumb(photo) {
      var box = make("div", { className: "photo" });
      matchmark.photos.get(photo).then(function (blob) {
        if (!blob) return box.prepend(make("p", {}, say("photo-away")));
        var image = make("img", { alt: say("photo"), src: URL.createObjectURL(blob) });
        image.addEventListener("load", function () { URL.revokeObjectURL(image.src); });
        box.prepend(image);
      });
      return box;
    }

    // stopping says whether a finding stops the work, as far as it can be proved.
    function stopping(which) { return job.stops(page.proved).some(function (stop) { return stop.name === which; }); }

    // ---- All findings of the job

    function withdraw(which) {
      job.find(which, { withdrawn: true });
      gone.push(which);
      showList();
    }

    function showList() {
      var lines = gone.filter(function (which) { return job.finding(which).withdrawn; }).map(function (which) {
        return make("li", { className: "gone" }, make("span", {}, say("withdrawn", title(job.finding(which)))), button(say("undo"), function () {
          job.find(which, { withdrawn: false });
          showList();
        }));
      }).concat(job.findings().map(function (entry) {
        var f = entry.finding, done = job.repaired(entry.name);
        var facts = [stepWord(f), say("severity." + f.severity)].concat(f.by ? say("by", f.by) : [], f.photos ? say.count("photo-count", f.photos.length) : []);
        var li = make("li", {}, make("div", {}, make("strong", {}, title(f)), make("span", {}, facts.join(" · "))));
        if (f.words) li.firstElementChild.append(make("span", {}, f.words));
        var repaired = button(done ? say("repaired") : say("mark-repaired"), function () {
          job.repair(entry.name, !done);
          showList();
        });
        repaired.setAttribute("aria-pressed", String(done));
        li.append(repaired);
        if (job.isOwn(f)) {
          li.append(button(say("edit"), function () { edit(entry.name); }));
          if (!matchmark.host || !stopping(entry.name)) li.append(button(say("withdraw"), function () { withdraw(entry.name); }));
        }
        return li;
      }));
      fill(say("list"), [
        lines.length ? make("ul", { className: "finding-list" }, ...lines) : make("p", {}, say("none")),
        make("p", { className: "choices" }, button(say("new"), begin, "main i-new")),
      ]);
    }
    function edit(which) {
      name = which;
      showDetails();
    }
    function begin() { about(undefined); }
    // about begins a finding of which the thing is known, if one is named.
    function about(thing) {
      name = "";
      chosen = thing && things[thing] ? { thing: thing } : {};
      showPicker();
    }

    document.getElementById("ui_open-finding").addEventListener("click", function () { open(begin); });
    job.changed(function () {
      showCount();
      showTroubles();
    });
    showCount();
    return { title: title, gates: gates, gateFor: gateFor, stepWord: stepWord, thumb: thumb, showList: function () { open(showList); }, about: function (thing) { open(function () { about(thing); }); } };
  };
})();
