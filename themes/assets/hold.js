// Asks the browser, once in a page, not to take away what it keeps. tell is called when it may: it does not promise to
// leave it, and has less than 10 MB left. Not every browser can be asked, nor on every page; then nobody knows.
(function () {
  "use strict";
  var asked = false;
  matchmark.hold = async function (tell) {
    if (asked) return;
    asked = true;
    try {
      var room = navigator.storage, is;
      if (!await room.persist() && (is = await room.estimate()).quota - is.usage < 10e6) tell();
    } catch (cannot) {}
  };
})();
