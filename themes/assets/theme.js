// Runs before the page is drawn: puts the chosen theme and size of text on the root
// element, so that a dark page does not flash light, and says that scripts run.
(function () {
  "use strict";
  var root = document.documentElement;
  root.classList.add("js");
  try {
    var theme = localStorage.getItem("matchmark.theme");
    var size = localStorage.getItem("matchmark.size");
    if (theme === "light" || theme === "dark") root.dataset.theme = theme;
    if (size === "larger" || size === "largest") root.dataset.size = size;
  } catch (refused) {
    // The device keeps nothing: the page follows the device's own setting.
  }
})();
