// The author's hand on the figures, in pages of the preview only. A click gives
// the position to paste; a balloon, or what its leader ends on, is dragged or moved by
// keys and then stands in the source at its new place. All that is drawn here
// comes from the sources as they are now, not from the page.
(function () {
  "use strict";

  var preview = window.matchmarkPreview, page = preview.data.balloons.page;
  var say = preview.words(preview.data.balloons.words), element = preview.element;
  var sheets = Array.from(document.querySelectorAll("figure[data-figure]"));
  if (sheets.length === 0) return;

  var svgName = "http://www.w3.org/2000/svg";
  var on = false;
  var views = [];     // {figure, svg, handles, mark}: a figure that stands in the page, maybe one of several times
  var moving = null;  // {view, handle, from, pointer, x, y, dragged}: what is under way and not written yet
  var sending = false;
  preview.busy = function () { return moving !== null || sending; };

  // ---- Numbers, in the picture's own units

  // A small picture is placed to a tenth of a unit, others to whole units.
  function tenths(figure) { return Math.max(figure.width, figure.height) < 200; }
  function scale(figure) { return tenths(figure) ? 10 : 1; }
  // unit is how many units one CSS pixel is in the smallest box; balloons have their size by it on all pages.
  function unit(figure) { return Math.max(figure.width / 430, figure.height / 340); }

  function parse(text) {
    var numbers = text.split(",").map(Number);
    return { x: numbers[0], y: numbers[1] };
  }

  // write gives the nearest place that can be written and lies in the picture.
  function write(figure, x, y) {
    var by = scale(figure);
    function one(v, most) { return Math.max(0, Math.min(Math.round(v * by), Math.floor(most * by))) / by; }
    return one(x, figure.width) + "," + one(y, figure.height);
  }

  function placeOf(view, event) {
    var p = new DOMPoint(event.clientX, event.clientY).matrixTransform(view.svg.getScreenCTM().inverse());
    return { x: p.x, y: p.y };
  }

  // ---- Drawing

  function draw(parent, name, attributes) {
    var made = document.createElementNS(svgName, name);
    set(made, attributes);
    parent.append(made);
    return made;
  }
  function set(drawn, attributes) {
    Object.keys(attributes).forEach(function (key) { drawn.setAttribute(key, attributes[key]); });
  }

  function addView(sheet, figure) {
    var svg = document.createElementNS(svgName, "svg");
    set(svg, { "class": "preview-overlay", viewBox: "0 0 " + figure.width + " " + figure.height, role: "application", "aria-label": say("balloons") });
    var view = { figure: figure, svg: svg, handles: [], mark: null };
    figure.balloons.forEach(function (balloon, i) {
      if (balloon.beside) balloon.points = figure.balloons[i - balloon.beside].points.slice(0, 1);
      addBalloon(view, balloon);
    });
    // Ends of leaders lie on top: they are small, and a balloon can be near one.
    view.handles.filter(function (h) { return h.point > 0; }).forEach(function (h) { svg.append(h.drawn); });
    svg.addEventListener("pointerdown", function (event) { down(view, event); });
    // The finger drags the balloon, not the page; pointerdown comes first.
    svg.addEventListener("touchstart", function (event) {
      if (moving && moving.pointer !== undefined) event.preventDefault();
    }, { passive: false });
    svg.addEventListener("pointermove", drag);
    svg.addEventListener("pointerup", up);
    svg.addEventListener("pointercancel", function () { takeBack(); });
    svg.addEventListener("click", function (event) { click(view, event); });
    svg.addEventListener("keydown", function (event) { key(view, event); });
    svg.addEventListener("focusin", function (event) {
      var handle = handleOf(view, event.target);
      if (handle && !moving) tell(named(handle, handle.balloon.points[handle.point]));
    });
    svg.addEventListener("focusout", function (event) {
      if (moving && moving.pointer === undefined && handleOf(view, event.target) === moving.handle) {
        takeBack();
        tell(say("blurred"));
      }
    });
    sheet.querySelector(".figure-sheet").append(svg);
    views.push(view);
  }

  function addBalloon(view, balloon) {
    var u = unit(view.figure);
    var lines = balloon.points.slice(1).map(function () { return draw(view.svg, "line", { "class": "preview-leader" }); });
    balloon.points.forEach(function (_, point) {
      var group = draw(view.svg, "g", { "class": "preview-handle" + (point ? " end" : "") });
      var handle = { view: view, balloon: balloon, point: point, drawn: group };
      draw(group, "circle", { "class": "area", r: 24 * u });
      draw(group, "circle", { "class": "ring", r: (point ? 7 : 15) * u });
      if (point) draw(group, "circle", { "class": "dot", r: 2 * u });
      else draw(group, "text", { "font-size": (balloon.text.length > 2 ? 12 : 17) * u, dy: "0.36em" }).textContent = balloon.text;
      if (balloon.byHand) {
        group.classList.add("fixed");
      } else {
        set(group, { tabindex: "0", role: "button" });
        view.handles.push(handle);
      }
      handle.lines = lines;
      layout(handle);
    });
  }

  // layout puts a handle, and the leaders that hang on it, where its balloon's points say.
  function layout(handle) {
    var balloon = handle.balloon, at = parse(balloon.points[handle.point]);
    if (handle.point === 0) at.x += beside(handle.view.figure, balloon, at.x);
    handle.drawn.setAttribute("transform", "translate(" + at.x + " " + at.y + ")");
    handle.drawn.setAttribute("aria-label", named(handle, balloon.points[handle.point]));
    var from = parse(balloon.points[0]);
    handle.lines.forEach(function (line, i) {
      var to = parse(balloon.points[i + 1]);
      set(line, { x1: from.x, y1: from.y, x2: to.x, y2: to.y });
    });
  }

  // beside is how far a balloon stands from the first in its row, on one leader.
  function beside(figure, balloon, x) {
    return (balloon.beside || 0) * 34 * unit(figure) * (x > figure.width / 2 ? -1 : 1);
  }

  // layoutAll does so wherever the page shows the same point.
  function layoutAll(handle) {
    views.forEach(function (view) {
      view.handles.forEach(function (other) {
        if (other.balloon === handle.balloon && other.point === handle.point) layout(other);
        else if (handle.point === 0 && other.point === 0 && row(handle).indexOf(other.balloon) >= 0) {
          other.balloon.points[0] = handle.balloon.points[0]; // they move as one
          layout(other);
        }
      });
    });
  }

  // row lists the balloons that share a leader with a handle's.
  function row(handle) {
    var all = handle.view.figure.balloons, first = all.indexOf(handle.balloon) - (handle.balloon.beside || 0), end = first + 1;
    while (end < all.length && all[end].beside) end++;
    return all.slice(first, end);
  }

  function named(handle, at) {
    var balloon = handle.balloon;
    if (handle.point === 0) return say("balloon", balloon.text, at);
    return balloon.points.length > 2 ? say("end-of", balloon.text, at, handle.point) : say("end", balloon.text, at);
  }

  function handleOf(view, drawn) {
    return view.handles.find(function (h) { return h.drawn === drawn || h.drawn.contains(drawn); });
  }

  // nearest gives the handle that a pointer means; a finger is less exact than a mouse.
  function nearest(view, at, reach) {
    var found = null, least = reach * unit(view.figure);
    view.handles.forEach(function (handle) {
      var p = parse(handle.balloon.points[handle.point]);
      if (handle.point === 0) p.x += beside(view.figure, handle.balloon, p.x);
      var away = Math.hypot(p.x - at.x, p.y - at.y);
      if (away <= least) {
        found = handle;
        least = away;
      }
    });
    return found;
  }

  // ---- Moving

  function begin(handle, more) {
    takeBack();
    moving = Object.assign({ view: handle.view, handle: handle, from: handle.balloon.points[handle.point] }, more);
    clearMarks();
  }

  function to(x, y) {
    var handle = moving.handle, at = write(handle.view.figure, x, y);
    handle.balloon.points[handle.point] = at;
    handle.drawn.classList.add("moving");
    layoutAll(handle);
    tell(named(handle, at));
  }

  // takeBack drops what is not written yet.
  function takeBack() {
    if (!moving) return;
    var was = moving;
    moving = null;
    was.handle.balloon.points[was.handle.point] = was.from;
    was.handle.drawn.classList.remove("moving");
    layoutAll(was.handle);
    tell(named(was.handle, was.from));
    preview.free();
  }

  function commit() {
    var was = moving, handle = was.handle, at = handle.balloon.points[handle.point];
    if (at === was.from || parse(at).x === parse(was.from).x && parse(at).y === parse(was.from).y) {
      takeBack();
      return;
    }
    moving = null;
    send("move", {
      page: page, figure: handle.view.figure.id, thing: handle.balloon.thing, which: handle.balloon.which,
      point: handle.point, from: was.from, to: at,
    }, function (made) {
      handle.drawn.classList.remove("moving");
      remember(say("written", named(handle, at), made.file + ":" + made.line), handle);
    }, function () {
      handle.balloon.points[handle.point] = was.from;
      handle.drawn.classList.remove("moving");
      layoutAll(handle);
    });
  }

  // send asks the server to change the source; then(answer) or refused() follows.
  function send(what, body, then, refused) {
    sending = true;
    var status = 0;
    fetch("/.preview/" + what, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) })
      .then(function (response) {
        status = response.status;
        return response.json();
      })
      .then(function (answer) {
        if (status !== 200) throw answer;
        undo.disabled = !answer.undo;
        then(answer);
      })
      .catch(function (answer) {
        refused();
        tell(answer.problem ? say("refused." + answer.problem, answer.detail) : say("refused.unheard"), true);
        return answer.problem === "changed" || answer.problem === "gone" ? load() : undefined;
      })
      .then(function () {
        sending = false;
        preview.free();
      });
  }

  function down(view, event) {
    if (event.button !== 0 || !event.isPrimary || sending) return;
    var at = placeOf(view, event);
    var handle = nearest(view, at, event.pointerType === "mouse" ? 16 : 24);
    if (!handle) return;
    event.preventDefault();
    begin(handle, { pointer: event.pointerId, x: event.clientX, y: event.clientY, dragged: false });
    handle.drawn.focus({ preventScroll: true });
    view.svg.setPointerCapture(event.pointerId);
  }

  function drag(event) {
    if (!moving || moving.pointer !== event.pointerId) return;
    // A press that hardly moves only picks the balloon.
    if (!moving.dragged && Math.hypot(event.clientX - moving.x, event.clientY - moving.y) < 4) return;
    moving.dragged = true;
    var start = parse(moving.from);
    var a = placeOf(moving.view, { clientX: moving.x, clientY: moving.y }), b = placeOf(moving.view, event);
    to(start.x + b.x - a.x, start.y + b.y - a.y);
  }

  var released = 0; // when a press on a handle ended; the click that follows it gives no position
  function up(event) {
    if (!moving || moving.pointer !== event.pointerId) return;
    released = event.timeStamp;
    commit();
  }

  function key(view, event) {
    var handle = handleOf(view, event.target);
    if (!handle || event.altKey || event.ctrlKey || event.metaKey || sending) return;
    var way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    var under = moving && moving.handle === handle;
    if (way) {
      if (!under) begin(handle, {});
      if (moving.pointer === undefined) {
        var at = parse(handle.balloon.points[handle.point]), by = (event.shiftKey ? 10 : 1) / scale(view.figure);
        to(at.x + way[0] * by, at.y + way[1] * by);
      }
    } else if (event.key === "Enter" && under) {
      commit();
    } else if (event.key === "Escape" && under) {
      takeBack();
    } else {
      return;
    }
    event.preventDefault();
    event.stopPropagation(); // arrow keys turn the step view's pages
  }

  // ---- A position to paste

  function click(view, event) {
    event.stopPropagation();
    event.preventDefault();
    if (moving || sending || event.timeStamp - released < 50) return;
    var figure = view.figure, u = unit(figure), p = placeOf(view, event);
    if (p.x < 0 || p.y < 0 || p.x > figure.width || p.y > figure.height) return; // beside the picture
    var at = write(figure, p.x, p.y), first = parse(at);
    // The balloon starts a little way off, towards the nearer edge where there is room.
    function beside(v, size) {
      var outward = v < size / 2 ? v - 45 * u : v + 45 * u;
      return outward >= 20 * u && outward <= size - 20 * u ? outward : 2 * v - outward;
    }
    var label = write(figure, beside(first.x, figure.width), beside(first.y, figure.height)), second = parse(label);
    clearMarks();
    view.mark = draw(view.svg, "g", { "class": "preview-mark" });
    draw(view.mark, "line", { x1: first.x, y1: first.y, x2: second.x, y2: second.y });
    draw(view.mark, "circle", { cx: first.x, cy: first.y, r: 4 * u });
    draw(view.mark, "circle", { cx: second.x, cy: second.y, r: 15 * u });
    tell(say("position"));
    offer("at " + at + " balloon " + label);
  }

  function clearMarks() {
    views.forEach(function (view) {
      if (view.mark) view.mark.remove();
      view.mark = null;
    });
    offer("");
  }

  // ---- The bar

  var bar = element("section", "preview-author");
  var note = element("p", "preview-note");
  var position = element("code", "preview-position");
  var offered = element("div", "preview-offer");
  offered.append(position, button(say("copy"), copyPosition));
  var undo = button(say("undo"), function () {
    send("undo", {}, function (made) {
      remember(say("undone", made.file + ":" + made.line), null);
      return load();
    }, function () {});
  });
  bar.setAttribute("aria-label", say("balloons"));
  note.setAttribute("role", "status");
  position.tabIndex = 0;
  var tools = element("div", "preview-tools");
  tools.append(undo, button(say("done"), function () { turn(false); }));
  bar.append(note, offered, tools);

  function button(word, action) {
    var made = element("button", "preview-button", word);
    made.type = "button";
    made.addEventListener("click", action);
    return made;
  }

  function tell(text, asks) {
    if (note.textContent !== text) note.textContent = text;
    note.classList.toggle("asks", Boolean(asks));
    preview.makeRoom();
  }

  function offer(text) {
    position.textContent = text;
    offered.hidden = text === "";
    preview.makeRoom();
  }

  function copyPosition() {
    // A browser may refuse the clipboard; then the text is selected, ready for the keys.
    new Promise(function (done) { done(navigator.clipboard.writeText(position.textContent)); })
      .then(function () { tell(say("copied")); }, function () {
        getSelection().selectAllChildren(position);
        tell(say("selected"));
      });
  }

  // remember keeps what the author is at over the reload that a change of the source brings.
  function remember(text, handle) {
    tell(text);
    preview.keep("author", {
      note: text,
      at: handle && { view: views.filter(function (v) { return v.figure === handle.view.figure; }).indexOf(handle.view), figure: handle.view.figure.id,
        thing: handle.balloon.thing, which: handle.balloon.which, point: handle.point },
    });
  }

  function goOn(kept) {
    if (!kept) return;
    if (kept.note) tell(kept.note);
    var at = kept.at;
    var view = at && views.filter(function (v) { return v.figure.id === at.figure; })[at.view];
    var handle = view && view.handles.find(function (h) {
      return h.balloon.thing === at.thing && h.balloon.which === at.which && h.point === at.point;
    });
    if (!handle) return;
    handle.drawn.focus({ preventScroll: true });
    tell(kept.note);
  }

  // ---- On and off

  function load() {
    return fetch("/.preview/figures?page=" + encodeURIComponent(page))
      .then(function (response) { return response.json(); })
      .then(function (answer) {
        if (!answer.figures) throw answer;
        takeDown();
        undo.disabled = !answer.undo;
        sheets.forEach(function (sheet) {
          var figure = answer.figures.find(function (f) { return f.id === sheet.dataset.figure; });
          if (figure) addView(sheet, figure);
        });
      })
      .catch(function () { tell(say("refused.unheard"), true); });
  }

  function takeDown() {
    views.forEach(function (view) { view.svg.remove(); });
    views = [];
    offer("");
  }

  function turn(to, kept) {
    on = to;
    preview.keep("placing", on);
    switches.forEach(function (s) { s.setAttribute("aria-pressed", String(on)); });
    document.documentElement.classList.toggle("preview-placing", on);
    if (on) {
      preview.foot.prepend(bar);
      tell(say("how"));
      load().then(function () { goOn(kept); });
    } else {
      takeBack();
      takeDown();
      bar.remove();
    }
    preview.makeRoom();
  }

  var switches = sheets.map(function (sheet) {
    var made = button(say("place"), function () { turn(!on); });
    made.classList.add("preview-switch");
    sheet.append(made);
    return made;
  });
  turn(preview.kept("placing") === true, preview.kept("author"));
  preview.keep("author", null);
})();
