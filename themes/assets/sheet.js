// Printable sheets: the print button, and the line in the margin of every
// printed page that says which sheet it is.
(function () {
  "use strict";
  var sheet = document.getElementById("ui_sheet"), print = document.getElementById("ui_print");
  document.documentElement.style.setProperty("--running", JSON.stringify(sheet.dataset.running));
  print.addEventListener("click", function () { window.print(); });
})();
