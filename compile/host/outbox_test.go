package host

import (
	"slices"
	"testing"

	"matchmark/compile/pagetest"
)

// classroom is a device with a host that keeps what it gets. down makes the host
// unreachable, lose makes it take a request whose answer gets lost.
const classroom = `
var kept = {}, photos = {}, at = { records: {}, results: [], photos: {} };
var down = false, lose = false, refuse = null, key = "a", asked = [];
function reply(path, answer) {
  asked.push(path);
  if (lose) throw new Error("the answer is lost");
  if (refuse) return Promise.resolve(refuse);
  return Promise.resolve({ status: 200, answer: answer });
}
var wire = {
  hello: function () { if (down) return Promise.reject(new Error("down")); return Promise.resolve({ status: 200, answer: { host: key } }); },
  post: async function (path, value) {
    if (down) throw new Error("down");
    path = path.replace(/\?clock=\d+$/, "");
    if (path === "result") {
      var text = JSON.stringify(value);
      if (!refuse && at.results.indexOf(text) < 0) at.results.push(text);
      return reply(path, {});
    }
    if (!refuse) at.records[value.job] = JSON.stringify(value);
    return reply(path, { record: value, wanted: Object.keys(value.photos || {}).filter(function (n) { return !at.photos[n]; }) });
  },
  put: async function (path, blob) {
    if (down) throw new Error("down");
    if (!refuse) at.photos[path.split("/")[2]] = blob;
    return reply(path, {});
  },
};
var took = [];
var device = {
  keys: function () { return Object.keys(kept); },
  get: function (k) { return k in kept ? kept[k] : null; },
  set: function (k, v) { kept[k] = v; return true; },
  photo: function (n) { return Promise.resolve(photos[n] || null); },
  took: function (key, sent, r) { took.push(r.job); return false; },
};
function box() { return matchmark.outbox(device, wire); }
async function flush(b) { try { await b.flush(); return "done"; } catch (e) { return "later"; } }
kept["matchmark.record.p.v"] = JSON.stringify({ job: "one", ticks: { a: {} }, photos: { h1: {}, h2: {} } });
kept["matchmark.record-done.zero"] = JSON.stringify({ job: "zero", findings: { f: {} } });
kept["matchmark.quiz.q"] = JSON.stringify({ done: [{ learner: "a", try: 1 }, { learner: "b", try: 1 }] });
kept["matchmark.theme"] = "dark";
photos.h1 = "picture";
`

func TestOutbox(t *testing.T) {
	for name, c := range map[string]struct {
		program string
		want    []string
	}{
		"all arrives, and then nothing is open": {
			`var b = box(), first = String(b.open().length); var end = await flush(b);
			return [first, end, String(b.open().length), Object.keys(at.records).sort().join(), String(at.results.length), Object.keys(at.photos).join()];`,
			[]string{"4", "done", "0", "one,zero", "2", "h1"},
		},
		"nothing is asked twice once all is there": {
			`var b = box(); await flush(b); asked = []; await flush(b); return asked;`,
			[]string{},
		},
		"another start of the page knows what was sent": {
			`await flush(box()); asked = []; await flush(box()); return asked;`,
			[]string{},
		},
		"a host that is away leaves all open": {
			`down = true; var b = box(); var end = await flush(b); down = false; var left = String(b.open().length); await flush(b); return [end, left, String(b.open().length)];`,
			[]string{"later", "4", "0"},
		},
		"an answer that is lost is asked for again, and a result is there once": {
			`lose = true; var b = box(); var ends = [await flush(b)]; lose = false; ends.push(await flush(b)); return ends.concat(String(at.results.length), String(b.open().length));`,
			[]string{"later", "done", "2", "0"},
		},
		"a change opens its record again": {
			`var b = box(); await flush(b); kept["matchmark.record.p.v"] = JSON.stringify({ job: "one", passed: { a: {} } }); var open = String(b.open().length); await flush(b); return [open, at.records.one];`,
			[]string{"1", `{"job":"one","passed":{"a":{}}}`},
		},
		"another host gets everything": {
			`var b = box(); await flush(b); key = "b"; at.results = []; await flush(b); return [String(at.results.length)];`,
			[]string{"2"},
		},
		"what the host will not take is not sent for ever, and its words are kept": {
			`refuse = { status: 400, answer: { problem: "no such procedure", do: "ask" } }; var b = box(); var end = await flush(b); refuse = null; asked = [];
			await flush(b); return [end, String(b.open().length), b.refused()[0].problem, String(asked.length)];`,
			[]string{"done", "0", "no such procedure", "0"},
		},
		"a refusal is spoken of only while the device keeps what was refused": {
			`refuse = { status: 422, answer: { problem: "too much" } }; var b = box(); await flush(b); refuse = null; var first = String(b.refused().length);
			Object.keys(kept).forEach(function (k) { if (k !== "matchmark.sent") delete kept[k]; }); return [first, String(b.refused().length)];`,
			[]string{"4", "0"},
		},
		"a photo that is refused is spoken of too": {
			`var put = wire.put; wire.put = async function () { return { status: 422, answer: { problem: "no JPEG" } }; }; var b = box(); await flush(b); wire.put = put;
			return [String(b.open().length)].concat(b.refused().map(function (r) { return r.problem; }));`,
			[]string{"0", "no JPEG"},
		},
		"a job that nobody has begun stays here": {
			`["tablets", "work"].forEach(function (map) { var r = { job: "two" }; r[map] = { t: { step: "s" } }; kept["matchmark.record.q." + map] = JSON.stringify(r); });
			kept["matchmark.record.q.named"] = JSON.stringify({ job: "three", machine: { value: "Bench 3" } });
			kept["matchmark.record.q.waits"] = JSON.stringify({ job: "four", tablets: { t: { waits: "row" } } });
			await flush(box()); return Object.keys(at.records).sort();`,
			[]string{"four", "one", "three", "zero"},
		},
		"a host that is full or in a hurry is asked again": {
			`refuse = { status: 429, answer: {} }; var b = box(); var end = await flush(b); refuse = null; await flush(b); return [end, String(b.open().length), String(b.refused().length)];`,
			[]string{"later", "0", "0"},
		},
		"what waits for the trainer is asked again, and stops nothing else": {
			`refuse = { status: 403, answer: { problem: "another's job" } }; var b = box(); var end = await flush(b), held = b.held().problem, left = String(b.open().length); refuse = null; await flush(b);
			return [end, held, left, String(b.open().length), String(b.held()), String(b.refused().length)];`,
			[]string{"done", "another's job", "4", "0", "null", "0"},
		},
		"what the host has made of a record is not sent back": {
			`device.took = function (key) { kept[key] = JSON.stringify({ job: "one", ticks: { a: { at: 1 } }, set: "right" }); return true; };
			delete kept["matchmark.record-done.zero"]; var b = box(); await flush(b); asked = []; await flush(b); return [String(b.open().length), String(asked.length)];`,
			[]string{"0", "0"},
		},
		"what others wrote is handed over": {
			`await flush(box()); return took;`,
			[]string{"zero", "one"},
		},
		"a broken entry of the device does not stop the rest": {
			`kept["matchmark.record.p.w"] = "{"; kept["matchmark.quiz.r"] = "null"; var b = box(); var end = await flush(b); return [end, String(at.results.length), String(b.open().length)];`,
			[]string{"done", "2", "0"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			var got []string
			pagetest.Script(t, []string{"outbox.js"}, classroom+c.program, &got)
			if !slices.Equal(got, c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}
