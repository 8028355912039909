// A whole job on paper: sets the sheets that are ticked in the contents together on one page, in their order, each beginning on a
// new sheet of paper with its own line at the foot, and pages numbered through; then it prints. A page that was opened from a
// folder may not fetch another one. So each sheet opens in a frame, one after the other, and hands over what it holds (shell.js).
// A sheet with styles of its own stands in a tree of its own, where they touch no other.
(function () {
  "use strict";
  var state = document.getElementById("ui_whole-state"), print = /** @type {Found} */ (document.getElementById("ui_print")), main = document.getElementById("ui_main");
  var lines = new CSSStyleSheet(), cover = document.getElementById("ui_sheet").dataset.running;
  document.documentElement.style.setProperty("--running", JSON.stringify(cover));
  document.adoptedStyleSheets = [lines];

  function tell(key, ...values) {
    state.textContent = state.dataset[key].replace(/\{(\d)\}/g, function (_, i) { return values[i]; });
  }

  // open promises what a page holds; null if it does not say so in time.
  function open(link) {
    return new Promise(function (tell) {
      var frame = matchmark.make("iframe", { name: "ui_whole", hidden: true });
      function done(content) {
        window.removeEventListener("message", take);
        frame.remove();
        tell(content);
      }
      function take(event) {
        if (event.source === frame.contentWindow) done(event.data);
      }
      window.addEventListener("message", take);
      frame.onload = function () { setTimeout(done, 5000, null); }; // it speaks before it is loaded, or not at all
      frame.src = link.href;
      document.body.append(frame);
    });
  }

  // Names are told apart by the sheet, but for those inside drawings, which style sheets refer to; addresses are those of the sheet's own folder.
  function settle(content, link, prefix) {
    content.querySelectorAll(".print-bar, .clock-bar, .step-bar, dialog, script").forEach(function (e) { e.remove(); });
    content.querySelectorAll("[id]").forEach(function (e) { if (!e.closest("defs")) e.id = prefix + e.id; });
    ["aria-labelledby", "aria-describedby", "for", "headers"].forEach(function (name) {
      content.querySelectorAll("[" + name + "]").forEach(function (e) {
        e.setAttribute(name, e.getAttribute(name).split(" ").map(function (id) { return prefix + id; }).join(" "));
      });
    });
    ["href", "src"].forEach(function (name) {
      content.querySelectorAll("[" + name + "]").forEach(function (e) {
        var to = e.getAttribute(name);
        e.setAttribute(name, to[0] === "#" ? "#" + (e.closest("svg") ? "" : prefix) + to.slice(1) : new URL(to, link.href).href);
      });
    });
    content.querySelectorAll("img").forEach(function (image) {
      image.removeAttribute("srcset"); // paper takes the large one
      image.loading = "eager";
    });
  }

  // apart puts a sheet into a tree of its own with its styles, and promises when they are there.
  function apart(section, styles) {
    var tree = section.attachShadow({ mode: "open" }), inner = matchmark.make("div", { className: section.className });
    inner.append(...section.childNodes);
    var links = styles.split(" ").map(function (href) { return matchmark.make("link", { rel: "stylesheet", href: href }); });
    var there = Promise.all(links.map(function (link) { return new Promise(function (done) { link.onload = link.onerror = done; }); }));
    tree.append(...links, inner);
    return there;
  }

  // sectionOf is a sheet as a part of this page.
  function sectionOf(link, from, number) {
    var body = new DOMParser().parseFromString(from, "text/html").body, read = body.querySelector("#ui_main"), head = /** @type {Found} */ (read.querySelector("[data-running]"));
    var running = head ? head.dataset.running : link.textContent + " · " + read.querySelector("h1").textContent;
    var section = matchmark.make("section", { className: "whole-sheet " + body.className }), part = link.dataset.part, name = "sheet" + number;
    section.setAttribute("aria-label", link.textContent);
    if (part) section.append(read.querySelector("h1"), read.querySelector('[aria-labelledby="' + part + '"]'));
    else section.append(...read.childNodes);
    settle(section, link, "ui_" + number + "-");
    section.style.setProperty("page", name);
    lines.insertRule("@page " + name + " { @bottom-left { content: " + JSON.stringify(running) + "; } }");
    return section;
  }

  // Pictures come in after the sheets; without them a page would be printed with holes.
  function pictures(section) {
    return Promise.all([...(section.shadowRoot || section).querySelectorAll("img")].map(function (image) { return image.decode().catch(function () {}); }));
  }

  var sheets = [...document.querySelectorAll(".whole-sheets a")].map(function (link, i) {
    var tick = matchmark.make("input", { type: "checkbox", checked: !("left" in link.dataset) });
    tick.setAttribute("aria-label", link.textContent);
    link.before(tick);
    return { link: link, tick: tick, number: i + 1, section: null };
  });

  async function collect() {
    var wanted = sheets.filter(function (s) { return s.tick.checked; }), lost = 0;
    print.disabled = true;
    for (var i = 0; i < sheets.length; i++) {
      var s = sheets[i];
      if (s.section) s.section.hidden = !s.tick.checked;
      if (!s.tick.checked) continue;
      tell("wait", wanted.indexOf(s) + 1, wanted.length);
      if (!s.section) {
        var from = await open(s.link);
        if (from) {
          s.section = sectionOf(s.link, from, s.number);
          var styled = s.link.dataset.styles && apart(s.section, s.link.dataset.styles);
          main.append(s.section);
          await styled;
        } else lost++;
      }
      if (s.section) {
        await pictures(s.section);
      }
    }
    document.dispatchEvent(new Event("matchmark-sheets"));
    tell(lost ? "lost" : "ready", lost || wanted.length);
    print.disabled = false;
    window.print();
  }
  print.addEventListener("click", collect);
  // The browser prints what stands on the page, and would not wait for the sheets.
  document.addEventListener("keydown", function (event) {
    if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "p") return;
    event.preventDefault();
    if (!print.disabled) collect();
  });
  tell("first");
})();
