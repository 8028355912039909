// Printable sheets: the print button, and the line in the margin of every
// printed page that says which sheet it is and which page of how many.
(function () {
  "use strict";
  var say = matchmark.words("sheet"), root = document.documentElement.style;
  function quoted(text) { return '"' + text.replace(/["\\]/g, "\\$&") + '"'; }

  root.setProperty("--running", quoted(document.getElementById("sheet-head").dataset.running));
  root.setProperty("--pages", quoted(say("page")) + " counter(page) " + quoted(say("of")) + " counter(pages)");
  document.getElementById("print").addEventListener("click", function () { window.print(); });
})();
