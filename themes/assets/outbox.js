// What a tablet still has to send to the class host: the records of its jobs with
// their photos, and the results of its quizzes. There is no queue that could be lost:
// what the device keeps is compared with what the host said it has. Sending
// the same twice changes nothing at the host, so a doubtful answer is sent again.
(function () {
  "use strict";

  var marks = "matchmark.sent"; // what this host has: {host, records: {KEY: mark}, results: {mark: true}, refused: {mark: answer}}

  // mark tells two texts apart: FNV-1a twice, 64 bits.
  function mark(text) {
    var a = 0x811c9dc5, b = 0x01000193;
    for (var i = 0; i < text.length; i++) {
      var c = text.charCodeAt(i);
      a = Math.imul(a ^ c, 0x01000193);
      b = Math.imul(b ^ c, 0x85ebca6b) + i | 0;
    }
    return (a >>> 0).toString(16) + (b >>> 0).toString(16);
  }

  function parsed(text) {
    try { return JSON.parse(text); } catch (broken) { return null; }
  }

  // outbox works on a device: keys() lists what is stored, get and set read and
  // store, photo(name) gives a promise of a photo or null, took(key, sent, record) takes in the host's answer and says
  // whether nothing is left to send of it. wire has hello(), post(path, value) and put(path, blob): promises of
  // {status, answer}, which fail when the host is not reached.
  matchmark.outbox = function (device, wire) {
    var sent = parsed(device.get(marks)) || {};
    var held = {}; // what waits for the trainer: the host takes it once the tablet has been let in
    var missing = {}; // photos that the host wants and this device does not have, by name
    ["records", "results", "refused"].forEach(function (part) { sent[part] = sent[part] || {}; });

    function keep() { device.set(marks, JSON.stringify(sent)); }

    // kept lists the jobs that were begun and the tries that were finished.
    function kept() {
      var list = [];
      device.keys().sort().forEach(function (key) {
        var text = device.get(key);
        if (!text) return;
        if (/^matchmark\.record(-done)?\./.test(key)) {
          var record = parsed(text);
          if (record && record.job && begun(record)) list.push({ key: key, text: text, record: record, send: sendRecord });
        } else if (/^matchmark\.quiz\./.test(key)) {
          var tries = (parsed(text) || {}).done;
          (Array.isArray(tries) ? tries : []).forEach(function (result) { list.push({ text: JSON.stringify(result), send: sendResult }); });
        }
      });
      return list;
    }

    // begun is false for a job whose page was only opened: the board would fill with jobs that nobody does.
    function begun(record) {
      return ["ticks", "passed", "confirmed", "measured", "findings", "repairs"].some(function (map) { return Object.keys(record[map] || {}).length > 0; }) ||
        Boolean((record.machine || {}).value) || Object.keys(record.tablets || {}).some(function (name) { return record.tablets[name].waits; });
    }

    // open lists what the host does not have yet.
    function open() {
      return kept().filter(function (item) {
        var m = mark(item.text);
        return !sent.refused[m] && (item.record ? sent.records[item.key] !== m : !sent.results[m]);
      });
    }

    // settled says whether the host has answered for good: it has the thing, or will never take it.
    function settled(item, reply) {
      if (reply.status === 200) return true;
      if (reply.status === 403) {
        held[mark(item.text)] = reply.answer;
        return false;
      }
      if (reply.status === 429 || reply.status === 507 || reply.status >= 500 || reply.status === 401 || reply.status === 408) {
        throw new Error("the host asks to come again");
      }
      sent.refused[mark(item.text)] = { problem: reply.answer.problem || String(reply.status), do: reply.answer.do || "" };
      keep();
      return false;
    }

    async function sendResult(item) {
      if (settled(item, await wire.post("result", JSON.parse(item.text)))) {
        sent.results[mark(item.text)] = true;
        keep();
      }
    }

    async function sendRecord(item) {
      var record = item.record;
      var reply = await wire.post("record?clock=" + Date.now(), record);
      if (!settled(item, reply)) return;
      for (var name of reply.answer.wanted || []) await sendPhoto(record, name);
      sent.records[item.key] = mark(item.text);
      keep();
      if (!reply.answer.record || !device.took(item.key, record, reply.answer.record)) return;
      sent.records[item.key] = mark(device.get(item.key));
      keep();
    }

    async function sendPhoto(record, name) {
      if (missing[name]) return;
      var photo = await device.photo(name);
      if (!photo) {
        missing[name] = true; // another tablet has it
        return;
      }
      var item = { text: "photo " + name };
      settled(item, await wire.put("photo/" + record.job + "/" + name, photo));
    }

    // there lists the marks of all that the device keeps, photos among it.
    function there() {
      var list = {};
      kept().forEach(function (item) {
        list[mark(item.text)] = true;
        Object.keys((item.record || {}).photos || {}).forEach(function (name) { list[mark("photo " + name)] = true; });
      });
      return list;
    }

    return {
      open: open,
      // any is true once there is something for the host.
      any: function () { return kept().length > 0; },
      // refused lists what the host will not take, with its words. What the device no longer keeps as it was is nothing to speak of.
      refused: function () {
        var list = there();
        return Object.keys(sent.refused).sort().filter(function (m) { return list[m]; }).map(function (m) { return sent.refused[m]; });
      },
      // held gives what the host says of something that waits for the trainer, or null.
      held: function () {
        var m = open().map(function (item) { return mark(item.text); }).find(function (m) { return held[m]; });
        return m ? held[m] : null;
      },
      // flush sends all that is open; the promise fails when the host is not reached or asks to wait.
      flush: async function () {
        var hello = await wire.hello();
        if (hello.status !== 200) throw new Error("the host is not there");
        if (sent.host !== hello.answer.host) {
          sent = { host: hello.answer.host, records: {}, results: {}, refused: {} };
          missing = {};
          keep();
        }
        held = {};
        for (var item of open()) await item.send(item);
      },
    };
  };
})();
