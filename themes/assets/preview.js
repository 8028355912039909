// The panel of the preview server. It shows why the library did not compile, with
// the place of each message, goes away when the library compiles again, and
// loads the new page. Only the server puts it into pages; no site refers to it.
(function () {
  "use strict";

  var data = JSON.parse(document.getElementById("ui_preview_data").textContent);
  var edition = data.state.edition;

  // words returns the function say for a table of words: it fills in {0}, {1}; say.count picks the form that the language takes for a number.
  function words(table) {
    function say(key, ...values) {
      return (table[key] || "[" + key + "]").replace(/\{(\d)\}/g, function (_, i) { return values[i]; });
    }
    say.count = function (key, n) {
      var form = key + "." + new Intl.PluralRules(document.documentElement.lang).select(n);
      return say(table[form] ? form : key + ".other", n);
    };
    return say;
  }
  var say = words(data.words);

  function element(name, className, text) {
    var made = document.createElement(name);
    if (className) made.className = className;
    if (text) made.textContent = text;
    return made;
  }

  function place(at) { return at.file + ":" + at.line + ":" + at.column; }

  function message(d) {
    var item = element("li", "preview-message");
    var head = element("p", "preview-place");
    if (d.file) head.append(element("span", "preview-file", place(d)), " ");
    head.append(element("span", "preview-code", d.severity + " " + d.code));
    item.append(head, element("p", "preview-text", d.message));
    if (d.do) item.append(element("p", "", say("do", d.do)));
    (d.see || []).forEach(function (other) {
      item.append(element("p", "", say("see", place(other), other.why)));
    });
    return item;
  }

  function headline(state) {
    if (state.ended) return say("ended");
    if (state.failure) return say("failed");
    var errors = state.diagnostics.filter(function (d) { return d.severity === "error"; });
    return say.count("errors", errors.length);
  }

  // What stands at the foot of the page, over it.
  var foot = element("div", "preview-foot");
  document.body.append(foot);
  var panel = null;
  var folded = false;

  function build(state) {
    var made = element("section", "preview-panel");
    made.setAttribute("aria-label", say("label"));
    var head = element("div", "preview-head");
    var title = element("p", "preview-title", headline(state));
    title.setAttribute("role", "alert");
    var body = element("div", "preview-body");
    body.id = "ui_preview_body";
    body.tabIndex = 0;
    body.setAttribute("role", "group");
    body.setAttribute("aria-label", say("label"));
    if (state.failure) body.append(element("p", "preview-text", state.failure));
    if (state.diagnostics.length > 0) {
      var list = element("ol", "preview-list");
      state.diagnostics.forEach(function (d) { list.append(message(d)); });
      body.append(list);
    }
    head.append(title);
    if (body.childNodes.length > 0) {
      head.append(foldButton(body));
      made.append(head, body);
    } else {
      made.append(head);
    }
    return made;
  }

  function foldButton(body) {
    var button = element("button", "preview-fold");
    button.type = "button";
    button.setAttribute("aria-controls", body.id);
    function fold(to) {
      folded = to;
      body.hidden = folded;
      button.textContent = folded ? say("unfold") : say("fold");
      button.setAttribute("aria-expanded", String(!folded));
    }
    button.addEventListener("click", function () {
      fold(!folded);
      makeRoom();
    });
    fold(folded);
    return button;
  }

  // The foot covers the end of the page, so the page gets that much longer, and what sticks to its lower edge sits higher.
  function makeRoom() {
    document.body.style.paddingBottom = foot.offsetHeight ? foot.offsetHeight + "px" : "";
    document.documentElement.style.setProperty("--preview-room", foot.offsetHeight + "px");
  }

  // What is kept for this tab, over a reload. A browser may refuse to keep anything.
  function keep(key, value) {
    try { sessionStorage.setItem("matchmark.preview." + key, JSON.stringify(value)); } catch (refused) { /* then it is forgotten */ }
  }
  function kept(key) {
    try { return JSON.parse(sessionStorage.getItem("matchmark.preview." + key)); } catch (refused) { return null; }
  }

  // For the script that moves balloons. While it is busy the page is not loaded again.
  var late = false;
  window.matchmarkPreview = {
    data: data, words: words, element: element, foot: foot, makeRoom: makeRoom, keep: keep, kept: kept,
    busy: function () { return false; },
    free: function () { if (late) reload(); },
  };

  function reload() {
    late = window.matchmarkPreview.busy();
    if (late) return;
    keep("scroll", { address: location.href, top: scrollY });
    location.reload();
  }

  // The page opens where it was: a step view would begin at its top.
  function scrollBack() {
    var was = kept("scroll");
    keep("scroll", null);
    if (!was || was.address !== location.href) return;
    function back() { scrollTo({ top: was.top, behavior: "instant" }); }
    back();
    if (document.readyState !== "complete") addEventListener("load", back, { once: true });
  }

  function show(state) {
    if (state.edition !== edition) {
      reload();
      return;
    }
    if (panel) panel.remove();
    panel = null;
    if (!state.written) {
      panel = build(state);
      foot.append(panel);
    }
    makeRoom();
  }

  // A browser keeps few connections to one server, so a page that nobody sees gives its own back.
  var events = null;
  function listen() {
    if (document.hidden) {
      if (events) events.close();
      events = null;
    } else if (!events) {
      events = new EventSource("/.preview/events");
      events.onmessage = function (event) { show(JSON.parse(event.data)); };
      events.onerror = function () { show({ edition: edition, ended: true, diagnostics: [] }); };
    }
  }

  show(data.state);
  scrollBack();
  listen();
  document.addEventListener("visibilitychange", listen);
  addEventListener("resize", makeRoom);
  addEventListener("pagehide", function () { if (events) events.close(); });
  addEventListener("pageshow", function (event) {
    if (!event.persisted) return;
    events = null;
    listen();
  });
})();
