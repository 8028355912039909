// Registers and figures: on a narrow screen they are folded, so that their headings are seen first; a link into one opens it, and paper has all of them.
(function () {
  "use strict";
  var folds = /** @type {NodeListOf<HTMLDetailsElement>} */ (document.querySelectorAll(".fold"));
  function aim() {
    var at = document.getElementById(location.hash.slice(1)), fold = at && /** @type {HTMLDetailsElement} */ (at.closest(".fold"));
    if (!fold) return;
    fold.open = true;
    at.scrollIntoView();
  }
  if (matchMedia("(max-width: 40rem)").matches) folds.forEach(function (fold) { fold.open = false; });
  window.addEventListener("beforeprint", function () { folds.forEach(function (fold) { fold.open = true; }); });
  window.addEventListener("hashchange", aim);
  aim();
})();

// Makes the headings of a table[data-sortable] buttons that sort its rows. The
// first press sorts upwards, the second downwards, the third restores the author's order.
(function () {
  "use strict";
  var say = matchmark.words("sort");
  var collator = new Intl.Collator(document.documentElement.lang, { numeric: true, sensitivity: "base" });

  function value(row, column) {
    var cell = row.cells[column];
    return cell.dataset.sort !== undefined ? cell.dataset.sort : cell.textContent;
  }

  // Empty cells stay at the end whichever way the rest goes.
  function compare(a, b, numbers, direction) {
    if (a === "" || b === "") return Number(a === "") - Number(b === "");
    return direction * (numbers ? a - b : collator.compare(a, b));
  }

  document.querySelectorAll("table[data-sortable]").forEach(function (table) {
    var body = table.tBodies[0];
    var original = Array.from(body.rows);
    var heads = Array.from(table.tHead.rows[0].cells);
    // On a narrow screen a row is a card, where each cell has its heading beside it.
    table.classList.add("folds");
    heads.forEach(function (head, column) {
      original.forEach(function (row) { row.cells[column].dataset.title = head.textContent; });
      var button = document.createElement("button");
      button.type = "button";
      button.className = "sort";
      button.title = say("hint");
      button.append.apply(button, Array.from(head.childNodes));
      head.replaceChildren(button);
      button.addEventListener("click", function () {
        var was = head.getAttribute("aria-sort");
        heads.forEach(function (other) { other.removeAttribute("aria-sort"); });
        var rows = original;
        if (was !== "descending") {
          var direction = was === "ascending" ? -1 : 1;
          head.setAttribute("aria-sort", direction > 0 ? "ascending" : "descending");
          var numbers = head.classList.contains("numbers");
          rows = original.slice().sort(function (a, b) {
            return compare(value(a, column), value(b, column), numbers, direction);
          });
        }
        body.append.apply(body, rows);
      });
    });
  });
})();
