// Builds what the step page would have to say many times over: the tick box of
// every row, a button of each number that a figure shows, the list of steps.
// Without scripts the rows are lines to read, with a box to tick on paper.
(function () {
  "use strict";
  var say = matchmark.words("unfold");

  var make = matchmark.make;
  function all(root, selector) { return Array.from(root.querySelectorAll(selector)); }

  var articles = all(document, ".steps > .step:not(#ui_end)");
  var chapter = "", standing = [], kinds = [];
  articles.forEach(function (article, i) {
    head(article, i);
    stand(article);
    var used = {};
    all(article, "menu > li").forEach(function (row) {
      nameRow(article, row, used);
      unfoldRow(article, row);
    });
    all(article, ".hold").forEach(function (hold) {
      var title = hold.querySelector("h3");
      title.id = article.id + "--hold";
      hold.setAttribute("aria-labelledby", title.id);
    });
  });
  var list = document.getElementById("ui_list-steps"), entries = articles.flatMap(entry);
  list.append.apply(list, entries);
  if (kinds.length) choose();

  // stand shows what the cautions of a chapter say at the steps behind its first too, folded in.
  function stand(article) {
    var begins = article.dataset.chapter;
    if (begins !== undefined) {
      chapter = begins;
      standing = all(article, ".standing");
    } else if (standing.length) {
      var box = make("details", { className: "standing" }, make("summary", { textContent: say("standing", standing.map(function (c) { return c.querySelector("b").textContent; }).join(", "), chapter) }));
      box.append.apply(box, standing.map(function (c) { return c.cloneNode(true); }));
      article.querySelector("header").after(box);
    }
    if (chapter && kinds.indexOf(chapter) < 0) kinds.push(chapter);
    article.dataset.kind = chapter;
    (article.dataset.who || "").split(" · ").forEach(function (who) { if (who && kinds.indexOf(who) < 0) kinds.push(who); });
  }

  // choose lets the list show some of the steps only: the open ones, those of a chapter, or those of a trade.
  function choose() {
    var which = make("select");
    which.setAttribute("aria-label", say("which"));
    which.append.apply(which, [say("all"), say("open")].concat(kinds).map(function (words) { return make("option", { textContent: words }); }));
    which.addEventListener("change", function () {
      var kind = kinds[which.selectedIndex - 2];
      list.classList.toggle("open-only", which.selectedIndex === 1);
      entries.forEach(function (li) { li.hidden = kind !== undefined && li.dataset.kind !== kind && (li.dataset.who || "").split(" · ").indexOf(kind) < 0; });
    });
    document.getElementById("ui_list-title").after(which);
  }

  function head(article, i) {
    var title = article.querySelector("h2");
    title.id = article.id + "--title";
    title.tabIndex = -1;
    title.previousElementSibling.setAttribute("aria-hidden", "true");
    title.prepend(make("span", { className: "unseen", textContent: say("place", i + 1, articles.length) + ": " }));
    article.setAttribute("aria-labelledby", title.id);
  }

  // nameRow gives a row its id, STEP--VERB-THING, by which records of a job know it; a second one of
  // the same kind ends in _2. The page says the id where a balloon leads to it, otherwise the
  // thing, unless the row begins with it: a fastener's number.
  function nameRow(article, row, used) {
    var verb = row.className.match(/\bi-(\S+)/), look = row.closest(".inspection");
    var what = verb ? verb[1] : look ? "inspect" : row.className || "confirm";
    var id = article.id + "--" + what;
    if (row.id) row.dataset.thing = row.id.slice(id.length + 1);
    else if (verb && !row.dataset.thing && verb[1] !== "wait") row.dataset.thing = row.firstChild.textContent;
    var thing = row.dataset.thing || look && look.dataset.thing;
    if (thing) id += "-" + thing;
    used[id] = (used[id] || 0) + 1;
    row.id = used[id] > 1 ? id + "_" + used[id] : id;
  }

  function unfoldRow(article, row) {
    row.classList.add("row");
    var number = row.querySelector(":scope > b:has(+ b)");
    var parts = number ? [chip(article, row, number)] : [];
    var told = make(row.classList.contains("kept") ? "div" : "label", { className: "told" });
    told.append.apply(told, lines(row, number));
    parts.push(told);
    if (row.classList.contains("sign")) parts.push(input(row, told));
    else if (!row.classList.contains("kept")) parts.unshift(input(row, told));
    row.replaceChildren.apply(row, parts);
  }

  // lines gives what a row says: its words as one line, then its details. A confirmation is all words.
  function lines(row, number) {
    var nodes = Array.from(row.childNodes).slice(number ? 2 : 0); // without the number and the space behind it
    var detail = row.closest(".hold") ? -1 : nodes.findIndex(function (node) { return /^(STRONG|SMALL|EM|I)$/.test(node.nodeName); });
    var words = make("span");
    words.append.apply(words, nodes.splice(0, detail < 0 ? nodes.length : detail));
    return [words].concat(nodes);
  }

  function input(row, label) {
    var box = make("input", { type: "checkbox", id: row.id + "--tick" });
    if (row.classList.contains("sign")) Object.assign(box, { type: "text", autocomplete: "off", maxLength: 40 });
    box.dataset[row.closest(".hold") ? "hold" : "tick"] = row.id;
    label.htmlFor = box.id;
    return box;
  }

  function chip(article, row, number) {
    var shown = article.querySelector('.balloon[data-thing="' + CSS.escape(row.dataset.thing) + '"]');
    var sign = /** @type {any} */ (make(shown ? "button" : "b", { className: "chip", textContent: number.textContent }));
    if (shown) {
      sign.type = "button";
      sign.dataset.show = row.dataset.thing;
      sign.setAttribute("aria-label", say("show", number.textContent));
    }
    return sign;
  }

  function entry(article, i) {
    var link = make("a", { href: "#" + article.id });
    link.dataset.step = article.id;
    link.append(make("span", { className: "list-number", textContent: i + 1 }), make("span", { className: "list-title", textContent: article.querySelector("h2").lastChild.textContent }));
    if (article.querySelector(".hold")) link.append(make("span", { className: "list-hold", textContent: say("hold") }));
    link.append(make("span", { className: "list-state" }));
    var items = [make("li", {}, link)];
    if (article.dataset.chapter) items.unshift(make("li", {}, make("b", { className: "list-chapter", textContent: article.dataset.chapter })));
    items.forEach(function (li) { li.dataset.kind = article.dataset.kind; });
    items[items.length - 1].dataset.who = article.dataset.who || "";
    return items;
  }
})();
