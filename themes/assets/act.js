// The act in hand: of a step's rows the first open one stands out, and the one behind it comes. What lies beyond an edge
// of the rows' pane says so, and key points and tips are folded to a line, which opens.
(function () {
  "use strict";
  var say = matchmark.words("act");
  var make = matchmark.make, button = matchmark.button;
  function all(root, selector) { return Array.from(root.querySelectorAll(selector)); }

  // fold makes a line of an aside: its name and how it begins. On paper and without scripts all of it is there.
  function fold(aside) {
    var name = aside.querySelector("b"), point = aside.querySelector(":scope > strong"), rest = make("div", { className: "folded-text" });
    var line = button("", function () {
      var open = line.getAttribute("aria-expanded") !== "true";
      line.setAttribute("aria-expanded", String(open));
      aside.classList.toggle("folded", !open);
    }, "fold");
    rest.append.apply(rest, Array.from(aside.childNodes).filter(function (node) { return node !== name && node !== point; }));
    line.append(name, " ", point || make("span", { className: "begins", textContent: rest.textContent.trim().slice(0, 120) }));
    line.setAttribute("aria-expanded", "false");
    aside.classList.add("folded");
    aside.append(line, rest);
  }

  // addMore gives a row with details the button that opens them while another row is in hand.
  function addMore(row) {
    if (!row.querySelector(".told > :is(small, em, i, strong)") || row.closest(".hold")) return;
    row.classList.add("brief");
    var more = button("", function () {
      var open = more.getAttribute("aria-expanded") !== "true";
      more.setAttribute("aria-expanded", String(open));
      row.classList.toggle("brief", !open);
    }, "more-of i-down");
    more.setAttribute("aria-expanded", "false");
    more.setAttribute("aria-label", say("more", row.querySelector(".told > span").textContent.trim()));
    row.append(more);
  }

  // acts joins a step page to the rows that are to be done: page.open(i) lists those of a step that are not.
  matchmark.acts = function (page) {
    var pane, beyond;
    page.articles.forEach(function (article, i) {
      if (i >= page.steps.length) return;
      all(article, ".work .tip, .work .key-point").forEach(fold);
      all(article, ".row").forEach(addMore);
      var work = article.querySelector(".work"), sign = button("", further, "beyond");
      sign.hidden = true;
      work.after(sign);
      work.addEventListener("scroll", edges, { passive: true });
    });
    new ResizeObserver(function () {
      var end = pane && (pane.querySelector(".coming") || pane.querySelector(".now"));
      if (end && pane.scrollTop < 1) makeRoom(pane.parentElement, end);
      edges();
    }).observe(document.getElementById("ui_steps"));

    // further shows what lies below the edge, or goes back to the top from the end.
    function further() {
      if (!down()) pane.scrollTop = 0;
    }
    // down shows what lies below the lower edge; it gives false at the end.
    function down() {
      if (!pane || below() < 2) return false;
      pane.scrollTop += Math.max(60, pane.clientHeight - 60);
      return true;
    }
    function up() {
      if (!pane || pane.scrollTop < 2) return false;
      pane.scrollTop -= Math.max(60, pane.clientHeight - 60);
      return true;
    }
    function below() { return pane.scrollHeight - pane.clientHeight - pane.scrollTop; }
    // scrolls reports whether the rows have a pane of their own, which narrow pages do not.
    function scrolls() { return Boolean(pane) && getComputedStyle(pane).overflowY === "auto"; }

    function edges() {
      if (!pane) return;
      var over = scrolls() && pane.scrollHeight > pane.clientHeight + 1;
      beyond.hidden = !over;
      pane.classList.toggle("more-above", over && pane.scrollTop > 1);
      pane.tabIndex = over ? 0 : -1; // so that keys scroll it
      var text = !over ? "" : below() > 1 ? say("below") : say("above");
      beyond.classList.toggle("i-down", over && below() > 1);
      beyond.classList.toggle("i-up", over && below() <= 1);
      if (beyond.textContent !== text) beyond.textContent = text;
    }

    // makeRoom gives the pane of a step the room for all up to a row, as far as that leaves the figure its own; where it does
    // not, the step is written closer.
    function makeRoom(article, row) {
      article.classList.remove("dense");
      pane.scrollTop = 0;
      function need() { return row ? Math.ceil(row.getBoundingClientRect().bottom - pane.getBoundingClientRect().top) + 4 : 0; }
      article.style.setProperty("--need", need() + "px");
      edges(); // the sign at the edge takes room too
      if (!scrolls() || need() <= pane.clientHeight) return;
      article.classList.add("dense");
      article.style.setProperty("--need", need() + "px");
    }

    // bring moves the pane as little as shows the act in hand, what is said right before it, and the next one.
    function bring(now, coming) {
      if (!scrolls()) return;
      var first = now.previousElementSibling ? now : now.closest(".work > *") || now;
      if (first !== now && first.previousElementSibling && first.previousElementSibling.matches(".signal")) first = first.previousElementSibling;
      var frame = pane.getBoundingClientRect(), top = first.getBoundingClientRect().top, bottom = (coming || now).getBoundingClientRect().bottom;
      if (top >= frame.top - 1 && bottom <= frame.bottom + 1) return;
      pane.scrollTop += Math.min(top - frame.top, Math.max(bottom - frame.bottom, now.getBoundingClientRect().bottom - frame.bottom));
      if (now.getBoundingClientRect().top < frame.top) pane.scrollTop += now.getBoundingClientRect().top - frame.top;
    }

    var last;
    return {
      // turn shows what lies beyond the lower edge, or with -1 the upper one; it gives false where nothing does.
      turn: function (way) {
        if (scrolls()) return way > 0 ? down() : up();
        var before = window.scrollY, frame = page.articles[page.current()].getBoundingClientRect();
        if (way > 0 ? frame.bottom <= innerHeight : frame.top >= 0) return false;
        window.scrollBy(0, way * innerHeight / 2);
        return window.scrollY !== before;
      },
      // refresh marks the act in hand and the next one of the step that is shown, in its rows and in its figures.
      refresh: function () {
        var i = page.current(), article = page.articles[i];
        if (i < 0 || i >= page.steps.length) return;
        var turned = !pane || !article.contains(pane);
        pane = article.querySelector(".work");
        beyond = pane.nextElementSibling;
        var open = page.open(i), now = open[0], coming = open[1];
        all(article, ".row").forEach(function (row) {
          var more = row.querySelector(".more-of");
          row.classList.toggle("now", row === now);
          row.classList.toggle("coming", row === coming);
          if (more) row.classList.toggle("brief", row !== now && more.getAttribute("aria-expanded") !== "true");
        });
        all(article, ".balloon[data-thing]").forEach(function (balloon) {
          balloon.classList.toggle("waits", Boolean(now) && balloon.classList.contains("active") && balloon.dataset.thing !== now.dataset.thing);
        });
        if (turned) makeRoom(article, coming || now);
        edges();
        if (!turned && now && now !== last) bring(now, coming);
        last = now;
        edges();
      },
    };
  };
})();
