// Signatures of hold points: written on the tablet, or given by the trainer at the class
// host. While the host's script is in the page, a row offers to ask for one.
(function () {
  "use strict";
  var say = matchmark.words("sign");
  var make = matchmark.make;

  matchmark.signatures = function (page) {
    var job = page.job;
    var rows = Array.from(document.querySelectorAll(".row.sign")).map(function (row) {
      var ask = make("button", { type: "button", hidden: true }), signed = make("p", { className: "signed i-mark", hidden: true });
      row.append(signed, ask);
      ask.addEventListener("click", function () { job.wait(job.waits(row.id) ? "" : row.id); });
      return { id: row.id, input: row.querySelector("input"), ask: ask, signed: signed };
    });

    function refresh() {
      rows.forEach(function (row) {
        var by = job.signed(row.id), waits = job.waits(row.id);
        row.input.hidden = Boolean(by);
        row.signed.hidden = !by;
        if (by) row.signed.textContent = say("signed", by.who, new Date(by.at).toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit" }));
        row.ask.hidden = Boolean(by) || !matchmark.host;
        row.ask.textContent = waits ? say("waits") : say("ask");
        row.ask.setAttribute("aria-pressed", String(waits));
        if (by && waits) job.wait("");
      });
    }
    document.addEventListener("matchmark:host", refresh);
    return { refresh: refresh };
  };
})();
