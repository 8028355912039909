// For hands that are full or gloved: the screen stays on, a step is read aloud as it comes up, and a screen on the wall shows in
// large letters what is done now. The keys that turn the steps, a presenter's too, are in step.js.
(function () {
  "use strict";
  var say = matchmark.words("hands"), make = matchmark.make, button = matchmark.button;
  var body = document.body, store = matchmark.store, aloudKey = "matchmark.aloud";
  function all(root, selector) { return Array.from(root.querySelectorAll(selector)); }

  // spoken lists what is said of a step, piece by piece: its title, its cautions, what is told and what is to be done.
  function spoken(article) {
    var pieces = all(article, "h2, .lead .signal, .work .signal, .work > div:not([class]), .work .key-point, .work .must, .work .hold h3, .work .row .told");
    return pieces.map(function (piece) { return piece.textContent.replace(/\s+/g, " ").trim(); }).filter(Boolean);
  }

  matchmark.hands = function (page) {
    var voice = window.speechSynthesis, box = make("div", { className: "hands choices" });

    // toggled is a button that is pressed or not; turn is told which when that changes, and at once when it is pressed.
    // One that is not leaves the page alone: somebody may just be touching it.
    function toggled(text, on, turn) {
      var b = button(text, function () {
        on = !on;
        show();
        turn(on);
      });
      function show() { b.setAttribute("aria-pressed", String(on)); }
      box.append(b);
      show();
      if (on) turn(on);
      return function (to) {
        if (on !== to) b.click();
      };
    }

    // stayAwake asks the device to leave its screen on while the clock runs; many refuse, which does no harm.
    function stayAwake() {
      if (!navigator.wakeLock || document.hidden || !page.job.running()) return;
      navigator.wakeLock.request("screen").catch(function () {});
    }
    document.addEventListener("visibilitychange", stayAwake);
    stayAwake();

    var reads = false;
    function read() {
      if (!reads) return;
      voice.cancel();
      spoken(page.articles[page.current()]).forEach(function (words) {
        voice.speak(Object.assign(new SpeechSynthesisUtterance(words), { lang: document.documentElement.lang }));
      });
    }
    if (voice) {
      toggled(say("aloud"), store.get(aloudKey) === "on", function (on) {
        reads = on;
        if (on) store.set(aloudKey, "on");
        else store.remove(aloudKey);
        voice.cancel();
        read();
      });
      page.turned = read;
      window.addEventListener("pagehide", function () { voice.cancel(); });
    }

    var wall = toggled(say("wall"), false, function (on) {
      body.classList.toggle("wall", on);
      var list = document.getElementById("ui_list");
      if (on) list.close();
      window.scrollTo(0, 0);
      page.refresh();
    });
    document.addEventListener("keydown", function (event) {
      if (event.key === "Escape" && !document.querySelector("dialog[open]")) wall(false);
    });
    document.querySelector("#ui_list .start-over").before(box);
  };
})();
