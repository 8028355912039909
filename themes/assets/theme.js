// Runs before the page is drawn: puts the chosen theme and size of text on the root
// element, so that a dark page does not flash light, and says that scripts run.
(function () {
  "use strict";
  var root = document.documentElement;
  root.classList.add("js");
  try {
    ["theme", "size"].forEach(function (name) { root.dataset[name] = localStorage.getItem("matchmark." + name) || ""; });
  } catch (refused) {
    // The device keeps nothing: the page follows the device's own setting.
  }
})();
