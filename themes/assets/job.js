// A learner's progress through one job on this device: what is ticked, which
// steps are through, and how long each took. Knows nothing of the page.
(function () {
  "use strict";

  // The clock runs on while the screen sleeps, because the work does. After a
  // longer absence nobody knows whether work went on: the clock then stops.
  var longestAbsence = 15 * 60 * 1000; // milliseconds

  // spell writes a duration in minutes as the pages do: "45 s", "12 min", "1 h 5 min".
  matchmark.spell = function (minutes) {
    var seconds = Math.floor(minutes * 60 + 0.5);
    if (seconds > 0 && seconds < 60) return seconds + " s";
    var whole = Math.floor(minutes + 0.5), h = Math.floor(whole / 60), m = whole % 60;
    if (!h) return m + " min";
    return m ? h + " h " + m + " min" : h + " h";
  };

  function empty() {
    return { step: "", ticks: {}, seconds: {}, passed: {}, running: true, seen: 0 };
  }

  // openJob gives the progress stored under the key, or a fresh one. now gives milliseconds.
  matchmark.openJob = function (key, store, now) {
    var state = read() || empty();
    var job = {
      kept: true,  // false once the device refused to store
      away: false, // true when the clock stopped because the page was away
    };

    function read() {
      try {
        var stored = JSON.parse(store.get(key));
        return stored && stored.ticks && stored.seconds && stored.passed ? stored : null;
      } catch (broken) {
        return null;
      }
    }

    job.save = function () {
      job.kept = store.set(key, JSON.stringify(state));
    };
    // reload takes over what another window of the same job stored.
    job.reload = function () {
      state = read() || empty();
    };
    job.clear = function () {
      store.remove(key);
      state = empty();
      job.away = false;
    };

    // A tick is true, a confirmation too; a signature is the text that was entered.
    job.value = function (id) { return state.ticks[id] || ""; };
    job.set = function (id, value) {
      if (value) state.ticks[id] = value;
      else delete state.ticks[id];
      job.save();
    };

    // The step that is worked on: its time runs.
    job.step = function () { return state.step; };
    job.goTo = function (id) {
      job.tick();
      state.step = id;
      job.save();
    };
    job.passed = function (id) { return Boolean(state.passed[id]); };
    job.pass = function (id) { state.passed[id] = true; };

    // tick adds the time since the last tick to the step that is worked on.
    job.tick = function () {
      var at = now();
      var gap = at - state.seen;
      if (state.seen && state.running && state.step && gap > 0) {
        if (gap <= longestAbsence) {
          state.seconds[state.step] = job.seconds(state.step) + gap / 1000;
        } else {
          state.running = false;
          job.away = true;
        }
      }
      state.seen = at;
    };
    job.running = function () { return state.running; };
    job.run = function (on) {
      job.tick();
      state.running = on;
      job.away = false;
      job.save();
    };
    job.seconds = function (id) { return state.seconds[id] || 0; };
    job.total = function () {
      return Object.keys(state.seconds).reduce(function (sum, id) { return sum + state.seconds[id]; }, 0);
    };
    return job;
  };
})();
