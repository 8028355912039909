// Builds what the step page would have to say many times over: the tick box of
// every row, a button of each number that a figure shows, the list of steps.
// Without scripts the rows are lines to read, with a box to tick on paper.
(function () {
  "use strict";
  var say = matchmark.words("unfold");

  var make = matchmark.make;
  function all(root, selector) { return Array.from(root.querySelectorAll(selector)); }

  var articles = all(document, ".steps > .step:not(#ui_end)");
  articles.forEach(function (article, i) {
    head(article, i);
    all(article, ".rows > li").forEach(function (row) { unfoldRow(article, row); });
    all(article, ".hold").forEach(function (hold) {
      var title = hold.querySelector("h3");
      title.id = hold.id + "--title";
      hold.setAttribute("aria-labelledby", title.id);
    });
  });
  document.getElementById("ui_list-steps").append.apply(document.getElementById("ui_list-steps"), articles.map(entry));

  function head(article, i) {
    var title = article.querySelector("h2");
    title.id = article.id + "--title";
    title.tabIndex = -1;
    title.previousElementSibling.setAttribute("aria-hidden", "true");
    title.prepend(make("span", { className: "unseen", textContent: say("place", i + 1, articles.length) + ": " }));
    article.setAttribute("aria-labelledby", title.id);
  }

  // A row's id is STEP--VERB-THING; a second one of the same kind ends in _2.
  function unfoldRow(article, row) {
    var verb = (row.className.match(/\bi-(\S+)/) || [])[1];
    if (verb) {
      row.dataset.verb = verb;
      row.dataset.thing = row.id.slice((article.id + "--" + verb + "-").length).replace(/_\d+$/, "");
    }
    row.classList.add("row");
    var number = row.querySelector(":scope > b");
    var parts = number ? [chip(article, row, number)] : [];
    var told = make(row.classList.contains("kept") ? "div" : "label", { className: "told" });
    told.append.apply(told, Array.from(row.childNodes).filter(function (node) { return node !== number; }));
    parts.push(told);
    if (row.classList.contains("sign")) parts.push(input(row, told));
    else if (!row.classList.contains("kept")) parts.unshift(input(row, told));
    row.replaceChildren.apply(row, parts);
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
    var sign = make(shown ? "button" : "b", { className: "chip", textContent: number.textContent });
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
    return make("li", {}, link);
  }
})();
