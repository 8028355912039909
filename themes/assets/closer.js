// The figure on the whole screen: two fingers or the wheel make it larger, one finger moves it, + and - and the arrow keys do
// the same. A tap on a balloon opens what the machine's register has on the thing, with the ways on: its row, and a finding.
(function () {
  "use strict";
  var say = matchmark.words("closer");
  var make = matchmark.make, button = matchmark.button;
  var most = 8, stride = 1.5, still = 8; // how many times as large; what a key adds; pixels within which a finger rests
  function all(root, selector) { return Array.from(root.querySelectorAll(selector)); }

  // lens holds how a sheet is shown in a frame: so many times as large as it fits, moved by x and y from the middle.
  matchmark.lens = function (frame, sheet) {
    var times = 1, x = 0, y = 0;
    function within(at, room) {
      var over = Math.max(0, room * (times - 1) / 2);
      return Math.min(over, Math.max(-over, at));
    }
    function draw() {
      x = within(x, frame.clientWidth);
      y = within(y, frame.clientHeight);
      sheet.style.transform = "translate(" + x + "px," + y + "px) scale(" + times + ")";
    }
    return {
      times: function () { return times; },
      fit: function () { times = 1; draw(); },
      move: function (dx, dy) { x += dx; y += dy; draw(); },
      // zoom makes the sheet larger around a place, which stays under the finger; the middle where none is given.
      zoom: function (by, at) {
        var now = Math.min(most, Math.max(1, times * by)), box = frame.getBoundingClientRect();
        var px = at ? at.x - box.left - box.width / 2 : 0, py = at ? at.y - box.top - box.height / 2 : 0;
        x = px - (px - x) * now / times;
        y = py - (py - y) * now / times;
        times = now;
        draw();
      },
    };
  };

  // fingers turns what touches a frame into moves of a lens. It says whether the last touch was a tap.
  function fingers(frame, lens) {
    var down = new Map(), travelled = 0, pinched = false;
    function middle() {
      var all = Array.from(down.values()), n = all.length;
      var x = all.reduce(function (sum, p) { return sum + p.x; }, 0) / n, y = all.reduce(function (sum, p) { return sum + p.y; }, 0) / n;
      return { x: x, y: y, apart: n > 1 ? Math.hypot(all[0].x - all[1].x, all[0].y - all[1].y) : 0 };
    }
    function lift(event) { down.delete(event.pointerId); }
    frame.addEventListener("pointerdown", function (event) {
      if (event.button) return;
      if (!down.size) {
        travelled = 0;
        pinched = false;
      }
      down.set(event.pointerId, { x: event.clientX, y: event.clientY });
      pinched = pinched || down.size > 1;
    });
    frame.addEventListener("pointermove", function (event) {
      if (!down.has(event.pointerId)) return;
      var before = middle();
      down.set(event.pointerId, { x: event.clientX, y: event.clientY });
      var now = middle();
      travelled += Math.hypot(now.x - before.x, now.y - before.y);
      if (!pinched && travelled < still) return;
      frame.setPointerCapture(event.pointerId);
      lens.move(now.x - before.x, now.y - before.y);
      if (before.apart && now.apart) lens.zoom(now.apart / before.apart, now);
    });
    frame.addEventListener("pointerup", lift);
    frame.addEventListener("pointercancel", lift);
    return function () { return !pinched && travelled < still; };
  }

  // closer gives the figures of a step page their buttons, and the dialog in which they stand large.
  matchmark.closer = function (page, findings) {
    var dialog = document.getElementById("ui_larger"), lens, tapped = function () { return true; };
    var frame = make("div", { className: "frame", id: "ui_larger-sheet", tabIndex: 0 }), part = make("aside", { className: "part", id: "ui_part", hidden: true });
    frame.setAttribute("role", "group");
    frame.setAttribute("aria-label", say("frame"));
    function sized(sign, name, by) {
      var b = button(sign, by, "sized");
      b.setAttribute("aria-label", name);
      return b;
    }
    function larger() { lens.zoom(stride); }
    function smaller() { lens.zoom(1 / stride); }
    function fit() { lens.fit(); }
    dialog.append(
      make("header", { className: "list-head" }, make("h2", { id: "ui_larger-title" }), make("div", { className: "choices" },
        sized("−", say("smaller"), smaller), sized("×1", say("fit"), fit), sized("+", say("larger"), larger), button(say("close"), function () { dialog.close(); }, "i-close"))),
      make("div", { className: "large" }, frame, part));

    function open(figure) {
      var sheet = figure.querySelector(".figure-sheet").cloneNode(true), image = sheet.querySelector("img");
      image.draggable = false;
      if (image.sizes) image.sizes = "200vw"; // so that there is more to see when it is made larger
      all(sheet, ".balloon").forEach(function (balloon) {
        balloon.removeAttribute("id");
        balloon.setAttribute("tabindex", "0");
        balloon.setAttribute("role", "button");
      });
      document.getElementById("ui_larger-title").textContent = figure.querySelector("figcaption").firstChild.textContent;
      frame.replaceChildren(sheet);
      part.hidden = true;
      lens = matchmark.lens(frame, sheet);
      tapped = fingers(frame, lens);
      dialog.showModal();
      frame.focus();
    }

    // tell shows what is known of a thing: its row of the register, where it comes up in the job, and the ways on.
    function tell(thing) {
      var known = page.plan.things.find(function (t) { return t.id === thing; });
      var rows = (matchmark.registers && matchmark.registers.rows[thing]) || [], facts = make("dl", {}), steps = make("ul", { className: "part-steps" });
      rows.forEach(function (pair) { facts.append(make("dt", {}, matchmark.registers.titles[pair[0]]), make("dd", {}, pair[1])); });
      page.steps.forEach(function (step, i) {
        var row = rowOf(i, thing);
        if (row) steps.append(make("li", {}, button(i === page.current() ? say("here", i + 1, words(row)) : say("step", i + 1, words(row)), function () { lead(i, row); })));
      });
      var heading = make("h3", { tabIndex: -1 }, known && known.no ? make("b", { className: "chip" }, known.no) : "", known ? known.name : thing);
      part.replaceChildren(heading, rows.length ? facts : make("p", {}, say("nothing")), steps.children.length ? steps : "",
        make("p", { className: "choices" }, button(say("finding"), function () {
          dialog.close();
          findings.about(thing);
        }, "main i-finding"), button(say("part-close"), hide)));
      part.hidden = false;
      part.scrollTop = 0;
      lens.move(0, 0); // the frame is smaller now
      heading.focus({ preventScroll: true });
      all(frame, ".balloon").forEach(function (balloon) { balloon.classList.toggle("pointed", balloon.dataset.thing === thing); });
    }
    function words(row) { return row.querySelector(".told > span").textContent.trim(); }
    function rowOf(i, thing) { return page.articles[i].querySelector('.row[data-thing="' + CSS.escape(thing) + '"]'); }
    function lead(i, row) {
      dialog.close();
      if (i !== page.current()) page.go(i);
      page.pointAtRow(row);
    }
    function hide() {
      part.hidden = true;
      frame.focus();
    }

    frame.addEventListener("click", function (event) {
      var balloon = /** @type {Element} */ (event.target).closest(".balloon");
      if (balloon) event.preventDefault();
      event.stopPropagation(); // in the step a balloon leads to its row at once
      if (!tapped()) return;
      if (balloon) tell(balloon.dataset.thing);
      else if (event.detail === 2) lens.zoom(lens.times() > 1 ? 1 / most : 2.5, { x: event.clientX, y: event.clientY });
    });
    frame.addEventListener("wheel", function (event) {
      event.preventDefault();
      lens.zoom(Math.exp(-event.deltaY / 400), { x: event.clientX, y: event.clientY });
    }, { passive: false });
    frame.addEventListener("dragstart", function (event) { event.preventDefault(); });
    dialog.addEventListener("keydown", function (event) {
      var way = { ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key], balloon = /** @type {Element} */ (event.target).closest(".balloon");
      if (event.altKey || event.ctrlKey || event.metaKey) return;
      if (event.key === "+" || event.key === "=") larger();
      else if (event.key === "-") smaller();
      else if (event.key === "0") fit();
      else if (way && !part.contains(/** @type {Element} */ (event.target))) lens.move(way[0] * 80, way[1] * 80);
      else if (balloon && (event.key === "Enter" || event.key === " ")) tell(balloon.dataset.thing);
      else return;
      event.preventDefault();
    });

    all(document, ".pictures .figure").forEach(function (figure) {
      var larger = button("", function () { open(figure); }, "i-larger");
      larger.append(make("span", {}, say("open")));
      figure.querySelector("figcaption").append(larger);
      figure.querySelector(".figure-sheet").addEventListener("click", function (event) {
        if (!/** @type {Element} */ (event.target).closest(".balloon")) open(figure);
      });
    });
  };
})();
