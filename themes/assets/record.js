// The job record: reading one that comes from elsewhere, bringing two together, names
// and hashes. Follows FORMAT.md of the record; knows nothing of the page.
(function () {
  "use strict";

  // ---- What an entry is made of

  var mostBytes = 64 << 20, mostPhotoBytes = 2 << 20, longestSide = 4096, latestMoment = 4102444800000; // 2100
  var version = 2;
  matchmark.latestMoment = latestMoment;

  function matches(pattern) { return function (s) { return typeof s === "string" && pattern.test(s); }; }
  function oneOf(...words) {
    return function (s) { return words.indexOf(s) >= 0; };
  }
  // within makes a rule of a text's length, counted in characters and not in the halves that a script counts.
  function within(most, unwanted) {
    return function (s) { return typeof s === "string" && !unwanted.test(s) && (s.length <= most || Array.from(s).length <= most); };
  }
  function whole(least, most) { return function (n) { return Number.isSafeInteger(n) && n >= least && n <= most; }; }
  var short = within(80, /[\0-\x08\n-\x1f]/), long = within(2000, /[\0-\x08\x0b\f\x0e-\x1f]/), moment = whole(Number.MIN_SAFE_INTEGER, Number.MAX_SAFE_INTEGER);
  function flag(b) { return typeof b === "boolean"; }
  var name = /^[0-9a-z]{26}$/, key = /^(out|back)\/[a-z0-9_-]{1,200}$/, found = /^([0-9a-z]{26}|m-(out|back)\/[a-z0-9_-]{1,200})$/;
  var photo = /^[0-9a-f]{64}$/, hold = /^((out|back)\/[a-z0-9_-]{1,200}|stop\/([0-9a-z]{26}|m-(out|back)\/[a-z0-9_-]{1,200}))$/, side = whole(1, longestSide), way = oneOf("out", "back"), id = matches(/^[a-z0-9_-]{1,200}$/);
  function photoNames(list) { return Array.isArray(list) && list.length <= 200 && list.every(matches(photo)); }

  // A field whose name ends in ? may be left out, and is left out while it is empty.
  function stamped(fields) { return Object.assign(fields, { at: moment, tablet: matches(name), "by?": short }); }
  var shapes = {
    tablets: [name, stamped({ learner: short, way: way, step: matches(/^[a-z0-9_-]{0,200}$/), "waits?": id }), 64],
    passed: [key, stamped({ value: flag })],
    ticks: [key, stamped({ value: flag })],
    work: [/^(out|back)\/[a-z0-9_-]{1,200}@[0-9a-z]{26}@\d{1,13}$/, { from: moment, to: moment }],
    confirmed: [hold, stamped({ given: flag, "text?": short })],
    signed: [hold, {
      "form?": whole(0, 2), who: short, "name?": short, "salt?": matches(/^[0-9a-f]{32}$/), at: moment, "machine?": short, "edition?": short,
      "content?": matches(/^[0-9a-f]{16}$/), "step?": id, "lines?": within(20000, /[\0-\x08\x0b\f\x0e-\x1f]/), key: matches(/^[0-9a-f]{64}$/), seal: matches(/^[0-9a-f]{128}$/),
    }],
    measured: [key, stamped({ look: long, thing: short, value: matches(/^(-?\d{1,12}(\.\d{1,9})?)?$/), unit: short, "low?": short, "high?": short })],
    findings: [found, stamped({
      way: way, step: id, "thing?": id, "other?": short, name: short,
      kind: oneOf("damaged", "worn", "missing", "leaking", "contaminated", "wrong-part", "bad-repair"),
      severity: oneOf("stops-work", "before-refit", "watch"),
      "words?": long, "repair?": long, "before?": id, "photos?": photoNames, "measured?": matches(key), "withdrawn?": flag, found: moment, "foundBy?": short,
    }), 1000],
    repairs: [found, stamped({ done: flag, "note?": long }), 1000],
    photos: [photo, {
      type: oneOf("image/jpeg"), width: side, height: side,
      "data?": function (s) { return typeof s === "string" && s.length <= Math.ceil(mostPhotoBytes / 3) * 4 && /^[A-Za-z0-9+/]*={0,2}$/.test(s); },
    }, 200],
  };

  function empty(value) { return value === undefined || value === "" || value === false || value === 0 || Array.isArray(value) && !value.length; }

  // cleaned returns the entry with the fields that it may have, or null when it is none.
  function cleaned(entry, fields) {
    if (!entry || typeof entry !== "object") return null;
    var out = /** @type {any} */ ({});
    for (var field in fields) {
      var plain = field.replace("?", ""), value = Object.hasOwn(entry, plain) ? entry[plain] : undefined;
      if (plain !== field && empty(value)) continue;
      if (!fields[field](value)) return null;
      // A time that no clock of ours can show is set to the nearest that one can: no work is lost over it.
      out[plain] = fields[field] === moment ? Math.min(Math.max(value, 0), latestMoment) : Array.isArray(value) ? value.slice() : value;
    }
    return out;
  }

  // readRecord reads a record that comes from elsewhere. It returns {record}, or {fault}:
  // big, text (no JSON), other (another kind of file), newer, or broken with the place in {at}.
  matchmark.readRecord = function (text) {
    if (text.length > mostBytes) return { fault: "big" };
    var raw;
    try { raw = JSON.parse(text); } catch (broken) { return { fault: "text" }; }
    if (!raw || raw.format !== "matchmark-job-record") return { fault: "other" };
    if (raw.version > version) return { fault: "newer" };
    var head = cleaned(raw, {
      format: short, version: whole(1, version), job: matches(name), procedure: id, "variant?": id, edition: short, content: matches(/^[0-9a-f]{16}$/),
    });
    if (!head) return { fault: "broken", at: "format, version, job, procedure, edition, content" };
    head.version = version;
    head.machine = cleaned(raw.machine, stamped({ value: short }));
    if (!head.machine) return { fault: "broken", at: "machine" };
    for (var map in shapes) {
      var entries = raw[map], keys = Object.keys(entries || {});
      if (entries === undefined && map !== "tablets") continue;
      if (!entries || typeof entries !== "object" || Array.isArray(entries) || keys.length > (shapes[map][2] || 20000)) return { fault: "broken", at: map };
      head[map] = {};
      for (var i = 0; i < keys.length; i++) {
        var entry = shapes[map][0].test(keys[i]) && cleaned(entries[keys[i]], shapes[map][1]);
        if (!entry) return { fault: "broken", at: map + "/" + keys[i].slice(0, 80) };
        head[map][keys[i]] = entry;
      }
    }
    return { record: head };
  };

  // newRecord begins a job.
  matchmark.newRecord = function (plan, tablet) {
    var record = {
      format: "matchmark-job-record", version: version, job: matchmark.newName(), machine: { value: "", at: 0, tablet: tablet },
      procedure: plan.procedure, edition: Array.from(plan.edition).slice(0, 80).join(""), content: plan.content, tablets: {},
    };
    if (plan.variant) record.variant = plan.variant;
    return record;
  };

  // lastChange gives when something was last written down on a job, other than where its tablets stand.
  matchmark.lastChange = function (record) {
    var last = record.machine.at;
    ["ticks", "passed", "confirmed", "measured", "findings", "repairs"].forEach(function (map) {
      Object.keys(record[map] || {}).forEach(function (name) { last = Math.max(last, record[map][name].at); });
    });
    return last;
  };

  // ---- Merging

  // canonical writes JSON without spaces, the fields of every object in order of their names.
  function canonical(value) {
    if (Array.isArray(value)) return "[" + value.map(canonical).join(",") + "]";
    if (!value || typeof value !== "object") return JSON.stringify(value);
    return "{" + Object.keys(value).sort(compare).map(function (k) { return JSON.stringify(k) + ":" + canonical(value[k]); }).join(",") + "}";
  }
  matchmark.canonical = canonical;

  // compare orders texts by the bytes of their UTF-8. A script's own order differs
  // for characters beyond the first 65,536, which it holds in two halves.
  function compare(a, b) {
    for (var i = 0; i < a.length && i < b.length; i++) {
      var x = a.charCodeAt(i), y = b.charCodeAt(i);
      if (x !== y) return (x >= 0xd800 && x < 0xe000 ? x + 0x10000 : x) - (y >= 0xd800 && y < 0xe000 ? y + 0x10000 : y);
    }
    return a.length - b.length;
  }

  // largest picks between two states of one entry: each rule in turn, and last the canonical JSON.
  function largest(...rules) {
    return function (a, b) {
      for (var i = 0; i < rules.length; i++) {
        var order = rules[i](a, b);
        if (order) return order > 0 ? a : b;
      }
      var x = canonical(a), y = canonical(b);
      return x === y || compare(x, y) > 0 ? a : b;
    };
  }
  function at(a, b) { return a.at - b.at; }
  var later = largest(at, function (a, b) { return compare(a.tablet, b.tablet); });
  var special = {
    work: largest(function (a, b) { return a.to - b.to; }),
    signed: largest(at),
    photos: largest(function (a, b) { return Number(Boolean(a.data)) - Number(Boolean(b.data)); }),
  };

  // mergeRecords brings two records together. In which order, and how often, makes no difference.
  matchmark.mergeRecords = function (a, b) {
    var newer = compare(a.edition, b.edition) || compare(a.content, b.content);
    var out = Object.assign({}, a, {
      job: compare(a.job, b.job) < 0 ? a.job : b.job, machine: later(a.machine, b.machine),
      edition: (newer < 0 ? b : a).edition, content: (newer < 0 ? b : a).content,
    });
    Object.keys(shapes).forEach(function (map) {
      if (!b[map]) return;
      var pick = special[map] || later;
      out[map] = Object.assign({}, a[map]);
      Object.keys(b[map]).forEach(function (k) {
        out[map][k] = out[map][k] ? pick(out[map][k], b[map][k]) : b[map][k];
      });
    });
    return out;
  };

  // settle takes in the host's answer to what was sent: it decides for all that was not changed since, and
  // sets times right. What was changed since stays, and counts as later. A record of the host has no photos' data.
  matchmark.settle = function (mine, sent, host) {
    var out = matchmark.mergeRecords(mine, host);
    function word(mine, sent, host) {
      if (!mine || sent && canonical(mine) === canonical(sent)) return host;
      return mine.at > host.at ? mine : Object.assign({}, mine, { at: host.at + 1 });
    }
    out.machine = word(mine.machine, sent.machine, host.machine);
    Object.keys(shapes).forEach(function (map) {
      if (special[map] || !host[map]) return;
      Object.keys(host[map]).forEach(function (k) { out[map][k] = word((mine[map] || {})[k], (sent[map] || {})[k], host[map][k]); });
    });
    return out;
  };

  // ---- Names and hashes

  // newName draws 26 characters out of 0-9 and a-z. 252 is the largest multiple of 36 in a byte.
  matchmark.newName = function () {
    var out = "", bytes = new Uint8Array(64);
    while (out.length < 26) {
      crypto.getRandomValues(bytes);
      for (var i = 0; i < 64 && out.length < 26; i++) if (bytes[i] < 252) out += (bytes[i] % 36).toString(36);
    }
    return out;
  };

  // The constants of SHA-256 are the first 32 bits behind the point of the square and cube roots of the first primes.
  function constants() {
    var primes = [], roots = { square: [], cube: [] };
    function bits(x) { return (x - Math.floor(x)) * 0x100000000 | 0; }
    function prime(n) { return primes.every(function (p) { return n % p; }); }
    for (var n = 2; primes.length < 64; n++) {
      if (!prime(n)) continue;
      primes.push(n);
      roots.square.push(bits(Math.sqrt(n)));
      roots.cube.push(bits(Math.cbrt(n)));
    }
    return roots;
  }

  // sha256 gives the hash of bytes in hexadecimal; the browser's own is not there for pages from plain HTTP.
  // Source: NIST FIPS 180-4, 4.1.2, 5.1.1, 5.3.3 and 6.2.2.
  matchmark.sha256 = function (bytes) {
    var roots = constants(), k = roots.cube, hash = roots.square.slice(0, 8);
    var blocks = Math.ceil((bytes.length + 9) / 64), padded = new Uint8Array(blocks * 64), view = new DataView(padded.buffer);
    padded.set(bytes);
    padded[bytes.length] = 0x80;
    view.setUint32(padded.length - 8, Math.floor(bytes.length / 0x20000000));
    view.setUint32(padded.length - 4, bytes.length * 8 >>> 0);
    function turn(x, n) { return x >>> n | x << 32 - n; }
    var w = new Int32Array(64);
    for (var block = 0; block < blocks; block++) {
      for (var t = 0; t < 64; t++) {
        if (t < 16) {
          w[t] = view.getInt32(block * 64 + t * 4);
          continue;
        }
        var x = w[t - 15], y = w[t - 2];
        w[t] = w[t - 16] + w[t - 7] + (turn(x, 7) ^ turn(x, 18) ^ x >>> 3) + (turn(y, 17) ^ turn(y, 19) ^ y >>> 10) | 0;
      }
      var a = hash[0], b = hash[1], c = hash[2], d = hash[3], e = hash[4], f = hash[5], g = hash[6], h = hash[7];
      for (t = 0; t < 64; t++) {
        var one = h + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + (e & f ^ ~e & g) + k[t] + w[t] | 0;
        var two = (turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + (a & b ^ a & c ^ b & c) | 0;
        h = g; g = f; f = e; e = d + one | 0; d = c; c = b; b = a; a = one + two | 0;
      }
      [a, b, c, d, e, f, g, h].forEach(function (v, i) { hash[i] = hash[i] + v | 0; });
    }
    return hash.map(function (v) { return (v >>> 0).toString(16).padStart(8, "0"); }).join("");
  };
})();
