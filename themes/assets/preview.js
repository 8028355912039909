// The panel of the preview server. It shows why the library did not compile, with
// the place of each message, goes away when the library compiles again, and
// loads the new page. Only the server puts it into pages; no site refers to it.
(function () {
  "use strict";

  var data = JSON.parse(document.getElementById("ui_preview_data").textContent);
  var edition = data.state.edition;

  function say(key) {
    var args = arguments;
    return (data.words[key] || "[" + key + "]").replace(/\{(\d)\}/g, function (_, i) { return args[+i + 1]; });
  }
  say.count = function (key, n) { return say(key + (n === 1 ? ".one" : ".many"), n); };

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

  // The panel covers the end of the page, so the page gets that much longer.
  function makeRoom() {
    document.body.style.paddingBottom = panel ? panel.offsetHeight + "px" : "";
  }

  function show(state) {
    if (state.edition !== edition) {
      location.reload();
      return;
    }
    if (panel) panel.remove();
    panel = null;
    if (!state.written) {
      panel = build(state);
      document.body.append(panel);
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
