// Values that are read off at the bench: a field with its unit in place of the tick box,
// and in words whether the value lies within the limits. One beyond them makes a finding.
(function () {
  "use strict";
  var say = matchmark.words("measured");
  var make = matchmark.make;

  // number reads what was typed: with a decimal point or comma, "" for nothing, null for what is no number.
  function number(text) {
    var plain = text.trim().replace(",", ".").replace("\u2212", "-").replace(/^\+/, "").replace(/^(-?)\./, "$10.").replace(/\.$/, "");
    if (plain === "") return "";
    return /^-?\d{1,12}(\.\d{1,9})?$/.test(plain) ? plain : null;
  }
  matchmark.number = number;

  // measured joins the fields to a step page and keeps its findings in step with the values.
  matchmark.measured = function (page, findings) {
    var job = page.job;
    var fields = Array.from(document.querySelectorAll("menu > [data-unit]")).map(unfold);

    function shown(n) { return Number(n).toLocaleString(document.documentElement.lang, { maximumFractionDigits: 9 }); }
    function withUnit(n, unit) { return n === undefined ? "" : say("quantity", shown(n), unit); }

    function unfold(row) {
      var step = row.closest(".step"), data = row.dataset;
      var field = {
        row: row, id: row.id, step: step.id, unit: data.unit, low: data.low, high: data.high,
        thing: row.closest(".readings") ? row.closest(".readings").dataset.of : row.id.slice((step.id + "--inspect-").length).replace(/_\d+$/, ""),
        decides: Boolean(row.closest("[data-decides]")),
        look: row.querySelector(".told > span").textContent.trim(),
        sign: make("span", { className: "verdict-sign" }), verdict: make("strong", { id: row.id + "--verdict" }),
        input: make("input", { type: "text", inputMode: "decimal", id: row.id + "--tick", autocomplete: "off", maxLength: 24 }),
      };
      field.limits = field.low === undefined && field.high === undefined ? "" : field.low === undefined ? say("at-most", withUnit(field.high, field.unit))
        : field.high === undefined ? say("at-least", withUnit(field.low, field.unit))
          : say("limits", withUnit(field.low, field.unit), withUnit(field.high, field.unit));
      field.verdict.setAttribute("role", "status");
      field.sign.setAttribute("aria-hidden", "true");
      field.input.dataset.measure = row.id;
      field.input.setAttribute("aria-describedby", field.verdict.id);
      row.classList.add("measured");
      row.querySelector("input").replaceWith(field.sign);
      row.querySelector(".told").append(field.verdict);
      row.append(make("span", { className: "reading" }, field.input, " ", field.unit));
      field.input.readOnly = data.sum !== undefined;
      field.input.addEventListener("input", function () { write(field); });
      field.input.addEventListener("change", function () { judge(field); });
      return field;
    }

    function write(field) {
      var value = number(field.input.value), old = job.measured(field.id);
      if (value === null) value = "";
      if ((old ? old.value : "") !== value) {
        job.measure(field.id, {
          look: field.look, thing: field.thing && page.nameOf(field.thing), value: value, unit: value && field.unit,
          low: withUnit(field.low, field.unit), high: withUnit(field.high, field.unit),
        });
        job.tickRow(field.id, value !== "");
      }
      show(field);
    }

    function within(field, value) {
      return (field.low === undefined || Number(value) >= Number(field.low)) && (field.high === undefined || Number(value) <= Number(field.high));
    }

    function show(field) {
      var value = number(field.input.value);
      var state = value === "" ? "" : value === null ? "none" : within(field, value) ? "within" : "out";
      field.row.dataset.state = state;
      var words = state === "none" ? say("no-number") : state === "within" && field.limits ? say("within") : state !== "out" ? "" : field.decides ? say("out-decides", field.limits) : say("out", field.limits);
      if (field.verdict.textContent !== words) field.verdict.textContent = words;
    }

    // judge makes a finding of a value out of limits, and takes it back when the value is put
    // right, unless somebody has written on the finding since.
    function judge(field) {
      var value = job.measured(field.id);
      if (!value || field.decides) return; // what something goes by is no fault to repair
      var name = "m-" + job.at(field.id), old = job.finding(name);
      if (old && old.at >= value.at) return; // settled
      var out = value.value !== "" && !within(field, value.value);
      var untouched = !old || old.withdrawn || old.kind === "worn" && old.severity === "before-refit" && !old.repair && !old.photos &&
        (old.words || "").indexOf(field.look + ": ") === 0 && old.words.slice(-field.limits.length - 1) === field.limits + ")";
      if (!untouched || !out && (!old || old.withdrawn)) return;
      if (!out) return job.find(name, { withdrawn: true });
      var finding = {
        way: page.plan.way, step: field.step, thing: field.thing, other: field.thing ? "" : field.look, name: field.thing ? page.nameOf(field.thing) : field.look, measured: job.at(field.id),
        kind: "worn", severity: "before-refit", before: findings.gateFor(field.thing), withdrawn: false,
        words: say("found", field.look, withUnit(value.value, field.unit), field.limits),
      };
      job.find(name, finding);
    }

    return {
      // set writes a value that is worked out.
      set: function (id, number) {
        var field = fields.find(function (f) { return f.id === id; });
        if (!field || ((job.measured(id) || {}).value || "") === number) return;
        field.input.value = number;
        write(field);
      },
      // fillIn puts the kept values into the fields, but not into one that is being typed in.
      fillIn: function () {
        fields.forEach(function (field) {
          var value = (job.measured(field.id) || {}).value || "";
          if (field.input !== document.activeElement && number(field.input.value) !== value) {
            field.input.value = value && value.replace(".", (1.5).toLocaleString(document.documentElement.lang).charAt(1));
          }
          show(field);
        });
      },
      // judgeAll makes up for a page that was closed while a value was being typed.
      judgeAll: function () { fields.forEach(judge); },
    };
  };
})();
