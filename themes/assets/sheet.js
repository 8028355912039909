// Printable sheets: the print button, and the line in the margin of every
// printed page that says which sheet it is.
(function () {
  "use strict";
  var running = document.getElementById("ui_sheet").dataset.running;
  document.documentElement.style.setProperty("--running", '"' + running.replace(/["\\]/g, "\\$&") + '"');
  document.getElementById("ui_print").addEventListener("click", function () { window.print(); });
})();
