// One job on this tablet, kept as a job record: what is ticked, confirmed, measured,
// found and repaired, and how long each step took. The pages of the removal and of the
// refitting go on with the same record. Knows nothing of the page.
(function () {
  "use strict";

  // The clock runs on while the screen sleeps, because the work does. After a
  // longer absence nobody knows whether work went on: the clock then stops.
  var longestAbsence = 15 * 60 * 1000; // milliseconds

  // spell writes a duration in minutes as the pages do: "45 s", "12 min", "1 h 5 min".
  matchmark.spell = function (minutes) {
    var seconds = Math.floor(minutes * 60 + 0.5);
    if (seconds > 0 && seconds < 60) return seconds + " s";
    var whole = Math.floor(minutes + 0.5), h = Math.floor(whole / 60), m = whole % 60;
    if (!h) return m + " min";
    return m ? h + " h " + m + " min" : h + " h";
  };

  function parsed(text) {
    try { return JSON.parse(text); } catch (broken) { return null; }
  }

  // covered gives what spells of work cover together, in milliseconds: those of two tablets may overlap.
  function covered(spells) {
    var end = -Infinity, sum = 0;
    spells.sort(function (a, b) { return a.from - b.from; }).forEach(function (s) {
      if (s.to > end) sum += s.to - Math.max(s.from, end);
      end = Math.max(end, s.to);
    });
    return sum;
  }

  // tablet gives this tablet's own name and who works on it: {name, learner}.
  function tablet(store) {
    var own = parsed(store.get("matchmark.tablet")) || {};
    if (!/^[0-9a-z]{26}$/.test(own.name)) own = { name: matchmark.newName(), learner: "" };
    return { name: own.name, learner: typeof own.learner === "string" ? own.learner.slice(0, 80) : "" };
  }

  // openJob gives the job of a page on this tablet, or begins one. The plan says which: procedure (the one
  // that takes out, also in the refitting), variant, edition, content, and the page's own way.
  // store keeps texts by name and says whether it did; now gives milliseconds.
  matchmark.openJob = function (plan, store, now) {
    var key = "matchmark.record." + plan.procedure + "." + (plan.variant || "");
    var clockKey = "matchmark.clock." + plan.procedure + "." + (plan.variant || "");
    var me = tablet(store);
    var record = null, written = "", clock = null, listeners = [], closed = false;
    var job = /** @type {Job} */ ({
      key: key,
      kept: true,  // false once the device refused to store
      away: false, // true when the clock stopped because the page was away
      unread: "",  // the text that was stored and that these pages cannot read
    });

    // ---- Keeping

    function stored() {
      var text = store.get(key);
      var found = text ? matchmark.readRecord(text).record : null;
      return found && found.procedure === plan.procedure && (found.variant || "") === (plan.variant || "") ? found : null;
    }
    // absorb brings in what another window of this job stored.
    function absorb() {
      var text = store.get(key);
      if (!text || text === written) return;
      var other = stored();
      written = text;
      if (!other) return;
      if (other.job !== record.job) keepEarlier(); // another window began anew
      record = other.job === record.job ? matchmark.mergeRecords(record, other) : other;
    }
    function write() {
      if (closed) return;
      var text = JSON.stringify(record);
      job.kept = store.set(key, text);
      if (job.kept) written = text;
      store.set(clockKey, JSON.stringify(clock));
    }
    function tell() {
      listeners.forEach(function (listener) { listener(); });
      document.dispatchEvent(new CustomEvent("matchmark:changed", { detail: { job: job } }));
    }
    // save keeps all that was written down.
    job.save = function () {
      absorb();
      write();
      tell();
    };
    // reload takes over what another window stored.
    job.reload = function () {
      absorb();
      readClock();
      tell();
    };
    // close keeps the page from storing anything more, before the tablet is emptied.
    job.close = function () { closed = true; };
    job.changed = function (listener) { listeners.push(listener); };

    function entry(map, name) { return (record[map] || {})[name]; }
    function put(map, name, value) {
      absorb();
      record[map] = Object.assign({}, record[map]);
      record[map][name] = stamped(value, entry(map, name));
      job.save();
    }
    // stamped says when and where a value was written down: always later than what it replaces.
    function stamped(value, old) {
      var out = Object.assign({}, value, { at: Math.min(Math.max(now(), old ? old.at + 1 : 0), matchmark.latestMoment), tablet: me.name });
      delete out.by;
      if (me.learner) out.by = me.learner;
      return out;
    }
    // Rows and steps of a round are known by it, from the second one on.
    function at(way, id) {
      var step = id.split("--")[0];
      var r = plan.found && !/--(round|more)$/.test(id) && plan.found.rounds.find(function (r) { return r.way === way && r.steps.indexOf(step) >= 0; });
      var n = r ? job.round(r) : 1;
      return way + "/" + id + (n > 1 ? "_r" + n : "");
    }
    function here(id) { return at(plan.way, id); }
    function keyOf(key) { var cut = key.indexOf("/"); return at(key.slice(0, cut), key.slice(cut + 1)); }
    // round gives which round of a group of steps is gone through.
    job.round = function (r) { return Math.min(Number(job.written(r.way + "/" + r.steps[0] + "--round")) || 1, r.most); };
    // at gives the record's key of a row of this page; entryAt and writtenAt read by a row's key on either way.
    job.at = here;
    job.entryAt = function (map, key) { return entry(map, keyOf(key)); };
    job.writtenAt = function (key) { return job.written(keyOf(key)); };

    // ---- The record

    job.record = function () { return record; };
    // take brings in another record, of this tablet or of another. It returns what is wrong with it, or null.
    job.take = function (other) {
      var read = matchmark.readRecord(JSON.stringify(other));
      if (read.fault) return read;
      if (read.record.procedure !== plan.procedure || (read.record.variant || "") !== (plan.variant || "")) return { fault: "elsewhere" };
      absorb();
      var merged = matchmark.mergeRecords(record, withoutData(read.record));
      if (matchmark.canonical(merged) === matchmark.canonical(record)) return null;
      record = merged;
      write();
      tell();
      return null;
    };
    // settle takes in what the class host answered to a record that was sent. It says whether nothing is left to send.
    job.settle = function (sent, answer) {
      var read = matchmark.readRecord(JSON.stringify(answer));
      absorb();
      if (read.fault || read.record.job !== record.job) return false;
      var settled = matchmark.settle(record, sent, withoutData(read.record));
      if (matchmark.canonical(settled) !== matchmark.canonical(record)) {
        record = settled;
        write();
        tell();
      }
      return matchmark.canonical(record) === matchmark.canonical(read.record);
    };
    // join goes on with another job in place of this one, which is kept unless nothing was done on it.
    job.join = function (other) {
      var read = matchmark.readRecord(JSON.stringify(other));
      if (read.fault || read.record.procedure !== plan.procedure || !keepEarlier()) return false;
      begin(withoutData(read.record));
      return true;
    };
    // Photos are kept apart from the record, where there is room for them.
    function withoutData(other) {
      Object.keys(other.photos || {}).forEach(function (name) { delete other.photos[name].data; });
      return other;
    }

    // fresh is true while nothing was done on the job.
    job.fresh = function () {
      return !["ticks", "passed", "confirmed", "measured", "findings", "repairs"].some(function (map) { return Object.keys(record[map] || {}).length; });
    };
    function lastChange() { return record.job + " " + matchmark.lastChange(record); }
    // dropUnread takes away the text that could not be read, once it was saved elsewhere.
    job.dropUnread = function () {
      store.remove(key.replace("record.", "unread."));
      job.unread = "";
      tell();
    };
    // filed notes that the job was saved as a file as it stands.
    job.filed = function () {
      clock.filed = lastChange();
      store.set(clockKey, JSON.stringify(clock));
    };
    function keepEarlier() {
      return job.fresh() || clock.filed === lastChange() || store.set("matchmark.record-done." + record.job, JSON.stringify(record));
    }
    // startOver begins a new job. The old one is kept unless it was saved as a file; where that is refused, nothing happens and it returns false.
    job.startOver = function () {
      job.tick();
      absorb();
      if (!keepEarlier()) return false;
      begin(matchmark.newRecord(plan, me.name));
      return true;
    };
    function begin(with_) {
      record = with_;
      clock = { places: {}, running: true };
      job.away = false;
      store.remove("matchmark.record-done." + record.job);
      write();
      tell();
    }

    // otherText gives the edition that the job was begun with while the page's text is another, and nobody has said that they saw it.
    job.otherText = function () { return record.content === plan.content || clock.seenText === plan.content ? null : record.edition; };
    job.seeText = function () {
      clock.seenText = plan.content;
      job.save();
    };

    job.machine = function () { return record.machine.value; };
    job.nameMachine = function (name) {
      absorb();
      record.machine = stamped({ value: name }, record.machine);
      job.save();
    };
    job.learner = function () { return me.learner; };
    job.nameLearner = function (name) {
      me.learner = name;
      store.set("matchmark.tablet", JSON.stringify(me));
      place({});
    };
    // enrolled gives this tablet the name and the learner that it has in a class. What it wrote under another name it wrote under this one.
    job.enrolled = function (name, learner) {
      absorb();
      record = JSON.parse(JSON.stringify(record).split(me.name).join(name));
      me = { name: name, learner: learner };
      store.set("matchmark.tablet", JSON.stringify(me));
      write();
      place({});
    };
    // place writes down where this tablet stands.
    function place(change) {
      var old = entry("tablets", me.name);
      var is = Object.assign({ way: plan.way, step: "" }, old, { learner: me.learner }, change);
      var same = old && ["learner", "way", "step", "waits"].every(function (field) { return (old[field] || "") === (is[field] || ""); });
      if (!is.waits) delete is.waits;
      if (same) job.save();
      else put("tablets", me.name, is);
    }
    // wait says that a hold point waits here for its signature; an empty row takes it back.
    job.wait = function (row) { place({ waits: row }); };
    job.waits = function (row) { return (entry("tablets", me.name) || {}).waits === row; };

    // ---- Ticks, confirmations, values

    job.ticked = function (row) { return Boolean((entry("ticks", here(row)) || {}).value); };
    job.tickRow = function (row, on) { put("ticks", here(row), { value: on }); };
    // written gives true, the text of a signature, or "", by the record's own key.
    job.written = function (key) {
      var c = entry("confirmed", key);
      return c && c.given ? c.text || true : "";
    };
    job.write = function (key, value) {
      var c = { given: Boolean(value) };
      if (typeof value === "string" && value) c.text = value;
      put("confirmed", key, c);
    };
    job.confirmed = function (row) { return job.written(here(row)); };
    job.confirm = function (row, value) { job.write(here(row), value); };
    // signed gives the class host's signature under a key of the record: of a hold point, or of a finding that stops the work.
    job.signed = function (key) { return entry("signed", key); };
    job.measured = function (row) { return entry("measured", here(row)); };
    job.measure = function (row, value) { put("measured", here(row), value); };

    // ---- Findings

    // findings lists what was found and not withdrawn, oldest first: {name, finding}.
    job.findings = function () {
      return Object.keys(record.findings || {}).map(function (name) { return { name: name, finding: record.findings[name] }; })
        .filter(function (f) { return !f.finding.withdrawn; })
        .sort(function (a, b) { return a.finding.found - b.finding.found || (a.name < b.name ? -1 : 1); });
    };
    // isOwn says whether this tablet was the last to write on a finding.
    job.isOwn = function (finding) { return finding.tablet === me.name; };
    job.finding = function (name) { return entry("findings", name); };
    // find writes a finding down, or changes fields of one.
    job.find = function (name, fields) {
      var is = Object.assign({ found: now() }, entry("findings", name), fields);
      Object.keys(is).forEach(function (field) {
        if (is[field] === "" && field !== "step" && field !== "name" || is[field] === false || Array.isArray(is[field]) && !is[field].length) delete is[field];
      });
      put("findings", name, is);
    };
    // stops lists the findings that stop the work: {name, finding, key}. signed says whether a key of the record is signed, and the signature holds.
    job.stops = function (signed) {
      return job.findings().filter(function (f) { return f.finding.severity === "stops-work"; })
        .map(function (f) { return { name: f.name, finding: f.finding, key: "stop/" + f.name }; })
        .filter(function (f) { return !signed(f.key); });
    };
    job.repaired = function (name) { return Boolean((entry("repairs", name) || {}).done); };
    job.repair = function (name, done) { put("repairs", name, Object.assign({}, entry("repairs", name), { done: done })); };
    job.addPhoto = function (photo) {
      absorb();
      record.photos = Object.assign({}, record.photos);
      record.photos[photo.name] = { type: photo.type, width: photo.width, height: photo.height };
      job.save();
    };

    // ---- Steps and the clock

    // The step that is worked on here: its time runs.
    job.step = function () { return clock.places[plan.way] || ""; };
    job.goTo = function (id) {
      job.tick();
      if (clock.step !== id || clock.way !== plan.way) run(id);
      clock.places[plan.way] = id;
      place({ way: plan.way, step: id });
    };
    // end is reached on the closing page.
    job.end = function () {
      job.run(false);
      place({ way: plan.way, step: "ui_end" });
    };
    job.passed = function (id) { return Boolean((entry("passed", here(id)) || {}).value); };
    job.pass = function (id) { if (!job.passed(id)) put("passed", here(id), { value: true }); };

    function readClock() {
      clock = parsed(store.get(clockKey)) || {};
      if (!clock.places || typeof clock.places !== "object") clock = { places: {}, running: true };
    }
    // run begins a spell of work on a step.
    function run(id) { Object.assign(clock, { way: plan.way, step: id, from: now(), to: now() }); }
    // tick adds the time since the last tick to the spell of work that runs.
    job.tick = function () {
      if (!clock.running || !clock.step) return;
      var gap = now() - clock.to;
      if (gap > longestAbsence) {
        clock.running = false;
        job.away = true;
      } else if (gap > 0) {
        clock.to = now();
        record.work = Object.assign({}, record.work);
        record.work[clock.way + "/" + clock.step + "@" + me.name + "@" + clock.from] = { from: clock.from, to: clock.to };
      } else if (gap < 0) {
        Object.assign(clock, { from: now(), to: now() }); // the tablet's clock was set back
      }
    };
    job.running = function () { return clock.running; };
    job.run = function (on) {
      job.tick();
      if (on && !clock.running) run(job.step());
      clock.running = on;
      job.away = false;
      job.save();
    };
    function time(prefix) {
      return covered(Object.keys(record.work || {}).filter(function (k) { return k.indexOf(prefix) === 0; }).map(function (k) { return record.work[k]; })) / 1000;
    }
    job.seconds = function (id) { return time(plan.way + "/" + id + "@"); };
    job.total = function () { return time(plan.way + "/"); };

    // ---- Opening

    // takeOver turns progress that an older edition of these pages kept into a record.
    function takeOver() {
      var old = parsed(store.get(plan.old));
      if (!old || !old.ticks || !old.seconds || !old.passed) return;
      var end = old.seen || now();
      Object.keys(old.ticks).forEach(function (row) {
        var value = old.ticks[row], hold = row.match(/^(.*--(?:confirm|sign))(?:-(\d+))?$/);
        if (hold) job.confirm(hold[1] + (hold[2] ? "_" + hold[2] : ""), value);
        else job.tickRow(row, Boolean(value));
      });
      Object.keys(old.passed).forEach(job.pass);
      record.work = Object.assign({}, record.work);
      Object.keys(old.seconds).forEach(function (id) {
        var from = Math.floor(end - old.seconds[id] * 1000);
        record.work[here(id) + "@" + me.name + "@" + from] = { from: from, to: Math.floor(end) };
        end = from;
      });
      clock.places[plan.way] = old.step || "";
      job.save();
      if (job.kept) store.remove(plan.old);
    }

    job.kept = store.set("matchmark.tablet", JSON.stringify(me)); // also says at once whether the device keeps anything
    readClock();
    record = stored();
    if (!record) {
      // What a newer edition of these pages wrote is put aside, not overwritten.
      var unread = store.get(key);
      if (unread) store.set(key.replace("record.", "unread."), unread);
      record = matchmark.newRecord(plan, me.name);
    }
    job.unread = store.get(key.replace("record.", "unread.")) || "";
    written = store.get(key);
    takeOver();
    return job;
  };
})();
