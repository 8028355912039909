// The class on the trainer's board: how tablets come in, who has which, what they ask for, what the trainer does with
// jobs and names, and who did what when. board.js hands over what the host tells.
(function () {
  "use strict";
  var board = matchmark.board, say = matchmark.words("classroom"), element = board.element, button = board.button;
  function byId(id) { return document.getElementById(id); }

  // act sends what the trainer decided, and says in the place for it what the host does not agree to.
  async function act(path, value, trouble) {
    if (trouble) trouble.textContent = "";
    try {
      var reply = await board.ask("POST", path, value);
      if (reply.status < 300) {
        board.refresh();
        return reply.answer;
      }
      (trouble || byId("ui_class-problem")).textContent = board.problem(reply);
    } catch (unreached) {
      (trouble || byId("ui_class-problem")).textContent = say("unreached");
    }
    return null;
  }
  function tabletName(t) { return say("tablet", t.number, t.learner || say("unnamed")); }

  // sure makes a button that asks once more on the same spot.
  function sure(text, again, act, className) {
    var b = button(text, function () {
      if (b.dataset.sure) return act();
      b.dataset.sure = "yes";
      b.textContent = again;
      setTimeout(function () {
        delete b.dataset.sure;
        b.textContent = text;
      }, 6000);
    }, className);
    return b;
  }

  // ---- What the host tells of the class

  document.addEventListener("matchmark:board", function (event) {
    var state = event.detail;
    var asks = state.class.filter(function (t) { return t.state === "asks"; }).map(function (t) { return { tablet: t }; })
      .concat(state.asks.map(function (a) { return { tablet: a, job: a.job, machine: a.machine }; }));
    board.fill("ui_asks", asks, function (list) { return list.map(askCard); }, "");
    byId("ui_asks").hidden = !asks.length;
    board.fill("ui_tablets", state.class.filter(function (t) { return t.state === "in"; }), function (list) { return [tabletList(list)]; }, say("tablets-none"));
    var left = state.class.filter(function (t) { return t.state === "in" && t.joined <= state.ended; });
    board.fill("ui_behind", state.behind, function (list) {
      var lines = element("ul");
      list.forEach(function (b) { lines.append(element("li", "", say("behind", b.number, b.address))); });
      return [element("p", "", say("behind-say")), lines];
    }, "");
    byId("ui_end-done").textContent = state.ended && left.length ? say.count("not-emptied", left.length) : "";
  });

  function askCard(ask) {
    var card = element("article", "board-card waiting"), t = ask.tablet, choices = element("p", "choices");
    card.append(element("h3", "", tabletName(t)), element("p", "", ask.job ? say("asks-job", ask.machine || say("machine")) : say("asks-name", t.learner || say("unnamed"))));
    function decide(what) { return function () { act("tablet", { number: t.number, do: what, job: ask.job || "" }); }; }
    if (ask.job) choices.append(button(say("let-onto-job"), decide("bind"), "main"), button(say("keep-out"), decide("refuse")));
    else choices.append(button(say("in-place"), decide("in-place"), "main"), button(say("beside"), decide("beside")), button(say("keep-out"), decide("dismiss")));
    card.append(choices);
    return card;
  }

  function tabletList(list) {
    var lines = element("ul", "board-learners");
    list.forEach(function (t) {
      var line = element("li");
      line.append(element("span", "", tabletName(t) + (t.machine ? " · " + t.machine : "")), sure(say("lost"), say("lost-sure"), function () { act("tablet", { number: t.number, do: "dismiss" }); }));
      lines.append(line);
    });
    return lines;
  }

  // ---- The code to join by

  async function invite(job) {
    byId("ui_invite-title").textContent = job ? say("invite-job") : say("invite");
    byId("ui_invite-say").textContent = job ? say("invite-job-say") : say("invite-say");
    byId("ui_invite-new").hidden = Boolean(job);
    byId("ui_invite-problem").textContent = "";
    byId("ui_invite-put").hidden = !job;
    if (job) putChoices(job);
    try {
      draw(await board.ask("GET", job ? "invite/" + job : "invite"));
    } catch (unreached) {
      byId("ui_invite-problem").textContent = say("unreached");
    }
    byId("ui_invite").showModal();
    byId("ui_invite-title").focus();
  }
  function draw(reply) {
    if (reply.status !== 200) {
      byId("ui_invite-problem").textContent = board.problem(reply);
      return;
    }
    byId("ui_invite-picture").replaceChildren(reply.answer.path ? matchmark.picture(reply.answer) : "");
    byId("ui_invite-letters").textContent = reply.answer.code;
    byId("ui_invite-link").textContent = reply.answer.link;
  }
  // putChoices lists the tablets that can be put on a job from here.
  function putChoices(job) {
    var box = byId("ui_invite-tablets");
    box.replaceChildren.apply(box, board.state().class.filter(function (t) { return t.state === "in"; }).map(function (t) {
      return button(tabletName(t), async function () {
        if (await act("tablet", { number: t.number, do: "bind", job: job }, byId("ui_invite-problem"))) byId("ui_invite").close();
      });
    }));
  }
  byId("ui_invite-open").addEventListener("click", function () { invite(""); });
  byId("ui_invite-close").addEventListener("click", function () { byId("ui_invite").close(); });
  byId("ui_invite-new").addEventListener("click", async function () {
    try {
      draw(await board.ask("POST", "invite", {}));
    } catch (unreached) {
      byId("ui_invite-problem").textContent = say("unreached");
    }
  });

  // ---- The class list

  byId("ui_list-file").addEventListener("change", async function () {
    var list = byId("ui_list-file"), file = list.files[0], done = byId("ui_list-done");
    list.value = "";
    if (!file) return;
    try {
      var reply = await board.send("people", await file.text(), "text/csv");
      done.textContent = reply.status === 200 ? say("listed", reply.answer.people, reply.answer.fresh) : board.problem(reply);
    } catch (unreached) {
      done.textContent = say("unreached");
    }
    board.refresh();
  });
  byId("ui_list-choose").addEventListener("click", function () { byId("ui_list-file").click(); });

  // ---- Jobs

  // jobMenu is what the trainer can do with a job.
  board.jobMenu = function (job) {
    var menu = element("p", "board-links");
    function decide(what, more) { return async function () {
      var answer = await act("job", Object.assign({ job: job.job, do: what }, more));
      if (answer && answer.left && answer.left.length) byId("ui_learners-done").textContent = answer.words + " " + answer.left.join(", ");
    }; }
    if (job.void) {
      menu.append(button(say("restore"), decide("restore")), sure(say("delete-job"), say("delete-job-sure"), decide("delete")));
    } else {
      menu.append(button(say("second-tablet"), function () { invite(job.job); }), button(say("rename"), function () { rename(job); }),
        sure(say("void"), say("void-sure"), decide("void")));
    }
    menu.append(button(say("history"), function () { history(job); }));
    return menu;
  };
  var renamed = null;
  function rename(job) {
    renamed = job;
    byId("ui_rename-machine").value = job.machine;
    byId("ui_rename-problem").textContent = "";
    byId("ui_rename").showModal();
    byId("ui_rename-machine").focus();
  }
  byId("ui_rename-no").addEventListener("click", function () { byId("ui_rename").close(); });
  byId("ui_rename-form").addEventListener("submit", async function (event) {
    event.preventDefault();
    if (await act("job", { job: renamed.job, do: "rename", machine: byId("ui_rename-machine").value }, byId("ui_rename-problem"))) byId("ui_rename").close();
  });

  byId("ui_end").append(sure(say("end"), say("end-sure"), function () { act("end", {}); }));

  // ---- Who did what when

  function moment(at) { return new Date(at).toLocaleString(document.documentElement.lang, { dateStyle: "short", timeStyle: "medium" }); }
  function table(heads, lines) {
    var made = element("table", "board-results"), top = element("thead"), head = element("tr"), body = element("tbody");
    heads.forEach(function (text) {
      var cell = element("th", "", text);
      cell.scope = "col";
      head.append(cell);
    });
    lines.forEach(function (cells) {
      var line = element("tr");
      cells.forEach(function (text) { line.append(element("td", "", text)); });
      body.append(line);
    });
    top.append(head);
    made.append(top, body);
    return made;
  }
  async function log(title, path, heads, line) {
    byId("ui_log-title").textContent = title;
    byId("ui_log-body").textContent = "";
    byId("ui_log").showModal();
    byId("ui_log-title").focus();
    try {
      var reply = await board.ask("GET", path);
      byId("ui_log-body").replaceChildren(reply.status === 200 ? table(heads, reply.answer.map(line)) : board.problem(reply));
    } catch (unreached) {
      byId("ui_log-body").textContent = say("unreached");
    }
  }
  byId("ui_trail").addEventListener("click", function () {
    log(say("trail"), "trail", [say("when"), say("who"), say("what")], function (s) {
      return [moment(s.at), s.who || (s.tablet ? say("tablet-number", s.tablet) : say("unnamed")), [say("step." + s.what), s.machine, s.about].filter(Boolean).join(" · ")];
    });
  });
  function history(job) {
    log(say("history-of", job.machine || say("machine")), "history/" + job.job, [say("when"), say("by-clock"), say("who"), say("what")], function (x) {
      var e = x.entry, value = [e.value, e.given, e.done, e.text, e.words, e.note].filter(function (v) { return v !== undefined && v !== ""; }).join(" · ");
      return [moment(x.at), moment(x.claimed), [x.who || say("unnamed"), x.tablet ? say("tablet-number", x.tablet) : ""].filter(Boolean).join(", "),
        [x.part + (x.key ? " " + x.key : ""), e.withdrawn ? say("withdrawn") : "", value].filter(Boolean).join(": ")];
    });
  }
  byId("ui_log-close").addEventListener("click", function () { byId("ui_log").close(); });
})();
