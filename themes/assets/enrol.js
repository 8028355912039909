// How a tablet joins the class: by the code that the board or another tablet shows, under a name
// of the class list or one that is typed. The secret that it gets stays on the tablet.
(function () {
  "use strict";
  Object.assign(window.matchmarkWords, JSON.parse(document.getElementById("ui_class_data").textContent).words); // those of the host's scripts
  var say = matchmark.words("enrol");
  var make = matchmark.make, button = matchmark.button, store = matchmark.store, slot = "matchmark.class";

  function parsed(text) {
    try { return JSON.parse(text) || {}; } catch (broken) { return {}; }
  }
  function bare(text) { return Array.from(text.replace(/[\0-\x1f]/g, " ")).slice(0, 80).join("").trim(); }

  // enrolment joins the dialog to a page. ask sends a request, joined is told of each change.
  matchmark.enrolment = function (ask, joined) {
    var own = parsed(store.get(slot)); // {tablet, secret, number, learner, state}
    var code = (location.hash.match(/^#join=([0-9A-Za-z]{8})$/) || [])[1] || "";
    if (code) history.replaceState(null, "", location.pathname + location.search);

    function keep(answer) {
      own = { tablet: answer.tablet, secret: answer.secret || own.secret, number: answer.number, learner: answer.learner, state: answer.state, enrolled: answer.enrolled };
      store.set(slot, JSON.stringify(own));
    }
    // adopt gives the tablet its name of the class, in all that it has written so far.
    function adopt(answer) {
      var before = parsed(store.get("matchmark.tablet")).name;
      if (matchmark.job) matchmark.job.enrolled(answer.tablet, answer.learner);
      store.keys().forEach(function (key) {
        var text = /^matchmark\.record(-done)?\./.test(key) && before && before !== answer.tablet && store.get(key);
        if (text) store.set(key, text.split(before).join(answer.tablet));
      });
      store.set("matchmark.tablet", JSON.stringify({ name: answer.tablet, learner: answer.learner }));
    }
    function go(answer) {
      var job = answer.jobs.find(function (j) { return j.job === answer.joined; });
      if (job) store.set("matchmark.joined", job.job);
      code = "";
      joined();
      if (!job) return;
      var page = "/procedure/" + job.procedure + "/steps" + (job.variant ? "-" + job.variant : "") + ".html";
      if (location.pathname !== page) location.assign(page);
    }

    // ---- The dialog

    var dialog = make("dialog", { className: "class-dialog", id: "ui_class-dialog" }), body = make("div", {});
    var title = make("h2", { id: "ui_class-title", tabIndex: -1 }), trouble = make("p", { className: "class-trouble" });
    trouble.setAttribute("role", "alert");
    dialog.setAttribute("aria-labelledby", title.id);
    dialog.append(title, body, trouble, make("p", { className: "choices" }, button(say("close"), function () { dialog.close(); })));
    document.body.append(dialog);

    /** @returns {[HTMLInputElement, HTMLElement]} */
    function field(id, text, properties) {
      var input = make("input", Object.assign({ type: "text", id: "ui_class-" + id, autocomplete: "off", maxLength: 80 }, properties));
      return [input, make("p", { className: "class-field" }, make("label", { htmlFor: input.id }, text), input)];
    }
    function show(heading, parts) {
      title.textContent = heading;
      trouble.textContent = "";
      body.replaceChildren.apply(body, parts);
      if (!dialog.open) dialog.showModal();
      title.focus();
    }
    // send asks the host, and says what is wrong when it does not agree.
    async function send(path, value) {
      trouble.textContent = "";
      try {
        var reply = await ask("POST", path, JSON.stringify(value), "application/json");
        if (reply.status === 200) return reply.answer;
        trouble.textContent = [reply.answer.problem, reply.answer.do].filter(Boolean).join(" ");
      } catch (away) {
        trouble.textContent = say("away");
      }
      return null;
    }

    function askCode() {
      var typed = field("code", say("code"), { value: code, maxLength: 12, autocapitalize: "characters", spellcheck: false });
      var form = make("form", {}, make("p", {}, say("code-say")), typed[1], make("p", { className: "choices" }, make("button", { type: "submit", className: "main" }, say("go-on"))));
      form.addEventListener("submit", function (event) {
        event.preventDefault();
        withCode(typed[0].value);
      });
      show(say("join-title"), [form]);
      typed[0].focus();
    }
    async function withCode(text) {
      code = text;
      if (own.secret) {
        var answer = await send("join", { code: code });
        if (answer) {
          dialog.close();
          go(answer);
        }
        return;
      }
      var list = await send("list", { code: code });
      if (list) askName(list);
    }

    function askName(list) {
      var machine = field("machine", say("machine"), { value: matchmark.job ? matchmark.job.machine() : "" });
      var name = field("name", list.people.length ? say("other-name") : say("name"), { value: parsed(store.get("matchmark.tablet")).learner || "" });
      var chosen = "", go = make("button", { type: "submit", className: "main" }, say("join"));
      var names = list.people.map(function (p) {
        var b = button(p.team ? say("in-team", p.name, p.team) : p.name, function () {
          chosen = chosen === p.id ? "" : p.id;
          if (chosen) name[0].value = "";
          mark();
        });
        b.dataset.person = p.id;
        return b;
      });
      function mark() { names.forEach(function (b) { b.setAttribute("aria-pressed", String(b.dataset.person === chosen)); }); }
      name[0].addEventListener("input", function () {
        chosen = "";
        mark();
      });
      mark();
      var form = make("form", {}, make("div", { className: "class-names" }, ...names), name[1], list.job ? "" : machine[1], make("p", { className: "choices" }, go));
      form.addEventListener("submit", async function (event) {
        event.preventDefault();
        go.disabled = true;
        await enrol(chosen, bare(name[0].value), bare(machine[0].value));
        go.disabled = false;
      });
      show(say("who"), [form]);
    }
    async function enrol(person, name, machine) {
      var me = parsed(store.get("matchmark.tablet")).name;
      var answer = await send("enrol", { code: code, tablet: me || "", person: person, name: name, machine: machine });
      if (!answer) return;
      keep(answer);
      adopt(answer);
      if (machine) store.set("matchmark.machine", machine);
      dialog.close();
      go(answer);
    }

    // ---- Another address of the host's

    var roomForPhotos = 40 << 20; // bytes
    // move takes all that this tablet keeps to another address, by a form: a page may not read what lies under another one's.
    async function move(text) {
      var at = null;
      try { at = new URL("/class/arrive", /^https?:/i.test(text) ? text : location.protocol + "//" + text); } catch (broken) { trouble.textContent = say("no-address"); }
      if (!at) return;
      if (matchmark.job) matchmark.job.save();
      var parcel = { path: location.pathname, kept: {}, photos: {} }, size = 0;
      store.keys().forEach(function (key) { if (/^matchmark\./.test(key) && key !== "matchmark.theme") parcel.kept[key] = store.get(key); });
      for (var key of Object.keys(parcel.kept)) {
        for (var name of /^matchmark\.record/.test(key) ? Object.keys(parsed(parcel.kept[key]).photos || {}) : []) {
          var photo = parcel.photos[name] ? null : await matchmark.photos.get(name);
          if (photo && (size += photo.size) < roomForPhotos) parcel.photos[name] = await matchmark.photos.base64(photo);
        }
      }
      var form = make("form", { method: "post", enctype: "multipart/form-data", action: at.href + "?from=" + encodeURIComponent(location.origin), hidden: true });
      form.append(make("input", { name: "token", value: own.tablet + "." + own.secret }), make("input", { name: "parcel", value: JSON.stringify(parcel) }));
      document.body.append(form);
      form.submit();
    }
    function showMove() {
      var typed = field("address", say("address"), { inputMode: "url", placeholder: location.host, spellcheck: false, autocapitalize: "off" });
      var form = make("form", {}, make("p", {}, say("moved-say")), typed[1], make("p", { className: "choices" }, make("button", { type: "submit", className: "main" }, say("move"))));
      form.addEventListener("submit", function (event) {
        event.preventDefault();
        move(typed[0].value.trim());
      });
      show(say("moved"), [form]);
      typed[0].focus();
    }

    // showSelf says who this tablet is, and lets a second one onto its job.
    async function showSelf() {
      var typed = field("code", say("job-code"), { value: code, maxLength: 12, autocapitalize: "characters", spellcheck: false });
      var form = make("form", {}, typed[1], make("p", { className: "choices" }, make("button", { type: "submit" }, say("join"))));
      form.addEventListener("submit", function (event) {
        event.preventDefault();
        withCode(typed[0].value);
      });
      var shown = make("div", { className: "class-code" });
      show(say("self", own.number, own.learner || say("nameless")), [shown, form]);
      var job = matchmark.job && !matchmark.job.fresh() ? matchmark.job.record().job : "";
      if (!job) return shown.append(make("p", {}, say("no-job")));
      var reply = await ask("GET", "invite/" + job).catch(function () { return { status: 0 }; });
      shown.append(make("p", {}, reply.status === 200 ? say("second") : say("no-second")));
      if (reply.status === 200) shown.append(matchmark.picture(reply.answer), make("p", { className: "class-letters" }, reply.answer.code));
    }

    function open() {
      if (own.secret && matchmark.host === "away" && own.state === "in") showMove();
      else if (own.secret) showSelf();
      else if (code) withCode(code).then(function () { if (!dialog.open) askCode(); });
      else askCode();
    }
    if (code) open();

    return {
      open: open,
      // token is what a request of this tablet carries; "" while it is in no class.
      token: function () { return own.secret ? own.tablet + "." + own.secret : ""; },
      state: function () { return own.secret ? own.state : ""; },
      learner: function () { return own.learner || ""; },
      number: function () { return own.number; },
      // before says whether this tablet joined before a time of the host's.
      before: function (time) { return Boolean(own.secret) && own.enrolled <= time; },
      // look asks the host who this tablet is. It gives the answer, or null for a stranger.
      look: async function () {
        var reply = await ask("GET", "me");
        if (reply.status === 401) own.secret = "";
        if (reply.status !== 200) return null;
        keep(reply.answer);
        return reply.answer;
      },
    };
  };
})();
