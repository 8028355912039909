// Signatures of hold points, given by the trainer at the class host. Where no host can be asked, the trainer's
// initials are written on the tablet, and marked as not proved.
(function () {
  "use strict";
  var say = matchmark.words("sign");
  var make = matchmark.make;

  function bytes(hex) { return Uint8Array.from(hex.match(/../g), function (pair) { return parseInt(pair, 16); }); }

  // sealedText is what a class host signs. Source: FORMAT.md of the record, "Signatures".
  function sealedText(record, key, by) {
    if (by.form !== 2) return ["matchmark hold 1", record.job, record.procedure, by.content || record.content, key, by.who, by.at, ""].join("\n");
    return ["matchmark hold 2", record.job, record.procedure, record.variant || "", by.edition || "", by.content || "", by.machine || "", by.step || "", key, by.who, by.at, by.lines || "", ""].join("\n");
  }

  // text is what a finding says, as the trainer looks at it. Source: FORMAT.md of the record, "Work that stops".
  function text(f) { return f ? [f.name || f.other || "", f.kind, f.words || "", f.repair || ""].join("\n") : null; }

  // fits says whether a signature is of the machine that the record names, of what the finding says, and of the name beside it.
  function fits(record, key, by) {
    if (/^stop\//.test(key) && (by.form !== 2 || (by.lines || "") !== text((record.findings || {})[key.slice(5)]))) return false;
    if (by.form !== 2) return true;
    if ((by.machine || "") !== record.machine.value) return false;
    return !by.name || matchmark.sha256(new TextEncoder().encode("matchmark person 1\n" + by.salt + "\n" + by.name)).slice(0, 26) === by.who;
  }

  // holds asks the browser whether a seal is that of its key over what was signed. A page from plain
  // HTTP cannot: there the class host and the work order look.
  async function holds(record, key, by) {
    if (!fits(record, key, by)) return false;
    try {
      var known = await crypto.subtle.importKey("raw", bytes(by.key), { name: "Ed25519" }, false, ["verify"]);
      return await crypto.subtle.verify({ name: "Ed25519" }, known, bytes(by.seal), new TextEncoder().encode(sealedText(record, key, by)));
    } catch (unable) {
      return true;
    }
  }

  // signer names who signed, as far as the name was not deleted.
  function signer(by) { return by.form === 2 ? by.name || say("nameless") : by.who; }

  matchmark.signatures = function (page) {
    var job = page.job;
    var checked = {}; // whether signatures hold
    var alone = {}; // hold points at which the trainer is and the host is not
    var rows = Array.from(document.querySelectorAll(".row.sign")).map(function (row) {
      var ask = make("button", { type: "button", hidden: true }), away = make("button", { type: "button", hidden: true }, say("host-away"));
      var signed = make("p", { className: "signed", hidden: true }), told = make("p", { className: "sign-told" });
      var code = make("input", { type: "text", inputMode: "numeric", autocomplete: "off", maxLength: 8, hidden: true, placeholder: say("code") });
      code.setAttribute("aria-label", say("code"));
      told.setAttribute("role", "status");
      row.append(signed, code, ask, away, told);
      ask.addEventListener("click", function () { job.wait(job.waits(row.id) ? "" : row.id); });
      away.addEventListener("click", function () {
        alone[row.id] = true;
        refresh();
        row.querySelector("input").focus();
      });
      code.addEventListener("input", function () { if (code.value.replace(/\D/g, "").length === 6) give(r); });
      var r = { id: row.id, row: row, input: row.querySelector("input"), code: code, ask: ask, away: away, signed: signed, told: told };
      return r;
    });

    // give hands the code over to the host, which signs when it is the one that the board shows.
    async function give(r) {
      var typed = r.code.value;
      r.code.value = "";
      var reply = await matchmark.giveCode(page.plan.way + "/" + r.id, typed).catch(function () { return { problem: say("unreached") }; });
      r.told.textContent = [reply.problem, reply.do].filter(Boolean).join(" ");
    }

    // proved gives the signature under a key of the record, unless its seal is known not to hold.
    function proved(key) {
      var by = job.signed(key);
      if (!by || !fits(job.record(), key, by)) return null;
      check(key, by);
      return checked[mark(key, by)] ? by : null;
    }
    function signed(id) { return proved(page.plan.way + "/" + id); }
    function mark(key, by) { return key + job.machine() + JSON.stringify(by); }
    function check(key, by) {
      var name = mark(key, by);
      if (name in checked) return;
      checked[name] = true;
      holds(job.record(), key, by).then(function (held) {
        if (held) return;
        checked[name] = false;
        page.refresh();
      });
    }

    // open says whether a line of the hold point is not confirmed yet.
    function open(r) {
      return Array.from(r.row.closest(".hold").querySelectorAll("[data-hold]")).some(function (input) { return input.type === "checkbox" && !input.checked; });
    }

    // The trainer opens a hold point: on the board, or by a code from it. What is written here in the trainer's
    // name proves nothing, and while the host can be asked there is no place to write it.
    function refresh() {
      rows.forEach(function (r) {
        var by = job.signed(page.plan.way + "/" + r.id), good = signed(r.id), waits = job.waits(r.id), written = job.confirmed(r.id);
        var host = matchmark.host && matchmark.host !== "away", shut = open(r);
        var typing = !good && (!matchmark.host || alone[r.id] && !host || Boolean(written) && !host);
        r.input.hidden = !typing;
        r.signed.hidden = !by && !written;
        r.signed.className = "signed" + (good ? " i-mark" : " unproved");
        if (good) r.signed.textContent = say("signed", signer(by), new Date(by.at).toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit" }));
        else if (written) r.signed.textContent = say("unproved", written === true ? "?" : written);
        else if (by) r.signed.textContent = say("broken", signer(by));
        r.ask.hidden = r.code.hidden = Boolean(good) || !host;
        r.ask.disabled = r.code.disabled = shut;
        r.ask.textContent = waits ? say("waits") : say("ask");
        r.ask.setAttribute("aria-pressed", String(waits));
        r.away.hidden = Boolean(good) || matchmark.host !== "away" || typing;
        r.away.disabled = shut;
        if (good) r.told.textContent = "";
        else if (shut && matchmark.host) r.told.textContent = say("open-lines");
        else if (typing) r.told.textContent = say("initials");
        else if (r.told.textContent === say("open-lines") || r.told.textContent === say("initials")) r.told.textContent = "";
        if (good && waits) job.wait("");
      });
    }
    document.addEventListener("matchmark:host", refresh);
    return {
      refresh: refresh, signed: signed, proved: proved,
      // shut says whether a row is a signature's that has to wait for the lines above it.
      shut: function (id) { return rows.some(function (r) { return r.id === id && open(r); }); },
    };
  };
})();
