// Signatures of hold points: written on the tablet, or given by the trainer at the class
// host. While the host's script is in the page, a row offers to ask for one.
(function () {
  "use strict";
  var say = matchmark.words("sign");
  var make = matchmark.make;

  function bytes(hex) { return Uint8Array.from(hex.match(/../g), function (pair) { return parseInt(pair, 16); }); }

  // holds asks the browser whether a seal is that of its key over what was signed. A page from plain
  // HTTP cannot: there the class host and the work order look. Source: FORMAT.md of the record, "Signatures".
  async function holds(record, key, by) {
    try {
      var text = ["matchmark hold 1", record.job, record.procedure, by.content || record.content, key, by.who, by.at, ""].join("\n");
      var known = await crypto.subtle.importKey("raw", bytes(by.key), { name: "Ed25519" }, false, ["verify"]);
      return await crypto.subtle.verify({ name: "Ed25519" }, known, bytes(by.seal), new TextEncoder().encode(text));
    } catch (unable) {
      return true;
    }
  }

  matchmark.signatures = function (page) {
    var job = page.job;
    var checked = {}; // whether signatures hold
    var rows = Array.from(document.querySelectorAll(".row.sign")).map(function (row) {
      var ask = make("button", { type: "button", hidden: true }), signed = make("p", { className: "signed i-mark", hidden: true });
      row.append(signed, ask);
      ask.addEventListener("click", function () { job.wait(job.waits(row.id) ? "" : row.id); });
      return { id: row.id, input: row.querySelector("input"), ask: ask, signed: signed };
    });

    // signed gives a row's signature, unless its seal is known not to hold.
    function signed(id) {
      var by = job.signed(id);
      return by && checked[id + JSON.stringify(by)] !== false ? by : null;
    }
    function check(id, by) {
      var name = id + JSON.stringify(by);
      if (name in checked) return;
      checked[name] = true;
      holds(job.record(), page.plan.way + "/" + id, by).then(function (held) {
        if (held) return;
        checked[name] = false;
        page.refresh();
      });
    }

    function refresh() {
      rows.forEach(function (row) {
        var by = job.signed(row.id), good = signed(row.id), waits = job.waits(row.id);
        if (by) check(row.id, by);
        row.input.hidden = Boolean(good);
        row.signed.hidden = !by;
        if (by) row.signed.textContent = good ? say("signed", by.who, new Date(by.at).toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit" })) : say("broken", by.who);
        row.ask.hidden = Boolean(good) || !matchmark.host;
        row.ask.textContent = waits ? say("waits") : say("ask");
        row.ask.setAttribute("aria-pressed", String(waits));
        if (good && waits) job.wait("");
      });
    }
    document.addEventListener("matchmark:host", refresh);
    return { refresh: refresh, signed: signed };
  };
})();
