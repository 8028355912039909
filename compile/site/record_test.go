package site

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/procedure/record"
)

// The tablet merges the examples of the record's own tests as they say, in either order.
func TestTabletMergesAsTheExamplesSay(t *testing.T) {
	files, err := filepath.Glob("../../procedure/record/testdata/merge/*.json")
	if err != nil || len(files) == 0 {
		t.Fatalf("no examples: %v", err)
	}
	var cases []string
	for _, name := range files {
		text, err := os.ReadFile(name)
		assert.NilError(t, err)
		cases = append(cases, string(text))
	}
	var got []string
	pagetest.Script(t, []string{"record.js"}, "return ["+strings.Join(cases, ",")+`].map(function (c) {
		var want = matchmark.canonical(c.want), faults = [];
		[[c.a, c.b], [c.b, c.a], [c.want, c.a], [c.b, c.want]].forEach(function (pair, i) {
			var got = matchmark.canonical(matchmark.mergeRecords(pair[0], pair[1]));
			if (got !== want) faults.push("order " + i + ": " + got);
		});
		return faults.join("\n");
	});`, &got)
	for i, fault := range got {
		if fault != "" {
			t.Errorf("%s: %s", filepath.Base(files[i]), fault)
		}
	}
}

// made makes a record of few different stamps and values, so that two of them differ in every way that a merge has to settle.
func made(r *rand.Rand) *record.Record {
	names := []string{strings.Repeat("a", 26), strings.Repeat("b", 26)}
	words := []string{"", "a", "<&>", "zwölf\n½", "\U0001F527 spanner", "\uFB01 ligature", "\u2028\\u2028"}
	stamp := func() record.Stamp {
		return record.Stamp{At: int64(r.IntN(3)), Tablet: names[r.IntN(2)], By: words[r.IntN(len(words))]}
	}
	word := func() string { return words[r.IntN(len(words))] }
	out := &record.Record{
		Format: record.Format, Version: record.Version, Job: names[r.IntN(2)], Procedure: "out", Variant: "belt",
		Machine: record.Entry[string]{Value: word(), Stamp: stamp()},
		Edition: fmt.Sprint(r.IntN(12)), Content: strings.Repeat(fmt.Sprint(r.IntN(3)), 16),
		Tablets: map[string]record.Tablet{}, Passed: map[string]record.Entry[bool]{}, Ticks: map[string]record.Entry[bool]{},
		Work: map[string]record.Interval{}, Confirmed: map[string]record.Confirmation{}, Signed: map[string]record.Signature{},
		Measured: map[string]record.Measurement{}, Findings: map[string]record.Finding{}, Repairs: map[string]record.Repair{}, Photos: map[string]record.Photo{},
	}
	for n := r.IntN(4); n > 0; n-- {
		row := "out/a--remove-" + fmt.Sprint(r.IntN(2))
		out.Tablets[names[r.IntN(2)]] = record.Tablet{Learner: word(), Phase: record.Refitting, Step: "a", Stamp: stamp()}
		out.Passed[row] = record.Entry[bool]{Value: r.IntN(2) == 0, Stamp: stamp()}
		out.Ticks[row] = record.Entry[bool]{Value: r.IntN(2) == 0, Stamp: stamp()}
		out.Work["out/a@"+names[0]+"@1"] = record.Interval{From: 1, To: int64(1 + r.IntN(3))}
		out.Confirmed[row] = record.Confirmation{Given: r.IntN(2) == 0, Text: strings.ReplaceAll(word(), "\n", ""), Stamp: stamp()}
		out.Signed[row] = record.Signature{Who: "A", At: int64(r.IntN(2)), Key: strings.Repeat("0", 64), Seal: strings.Repeat(fmt.Sprint(r.IntN(3)), 128)}
		out.Measured[row] = record.Measurement{Look: word(), Value: fmt.Sprint(r.IntN(2)), Stamp: stamp()}
		out.Findings[names[r.IntN(2)]] = record.Finding{
			Phase: record.Removal, Step: "a", Thing: "4", Name: "Bolt", Kind: record.Worn, Severity: record.Watch,
			Words: word(), Withdrawn: r.IntN(2) == 0, Stamp: stamp(),
		}
		out.Repairs["m-"+row] = record.Repair{Done: r.IntN(2) == 0, Note: word(), Stamp: stamp()}
		out.Photos[strings.Repeat(fmt.Sprint(r.IntN(2)), 64)] = record.Photo{Type: record.PhotoType, Width: 1 + r.IntN(2), Height: 1}
	}
	return out
}

// What the tablet makes of two records is byte for byte what the record's own package makes of them.
func TestTabletMergesAsThePackage(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var pairs []string
	var want []string
	for range 300 {
		a, b := made(r), made(r)
		var sides []string
		for _, x := range []*record.Record{a, b} {
			text, err := x.Write()
			assert.NilError(t, err)
			sides = append(sides, string(text))
		}
		pairs = append(pairs, "["+strings.Join(sides, ",")+"]")
		text, err := record.Merge(a, b).Write()
		assert.NilError(t, err)
		want = append(want, strings.TrimSuffix(string(text), "\n"))
	}
	var got []string
	pagetest.Script(t, []string{"record.js"}, "return ["+strings.Join(pairs, ",")+"].map(function (p) { return matchmark.canonical(matchmark.mergeRecords(p[0], p[1])); });", &got)
	for i := range want {
		if got[i] != want[i] {
			t.Fatalf("pair %d %s: the tablet makes\n%s\nthe package\n%s", i, pairs[i], got[i], want[i])
		}
	}
}

func TestHashInTheScript(t *testing.T) {
	var lengths []int
	var want []string
	for _, n := range []int{0, 1, 3, 55, 56, 63, 64, 65, 119, 120, 1000, 100_001} {
		bytes := make([]byte, n)
		for i := range bytes {
			bytes[i] = byte(i * 7)
		}
		hash := sha256.Sum256(bytes)
		lengths, want = append(lengths, n), append(want, hex.EncodeToString(hash[:]))
	}
	asked, err := json.Marshal(lengths)
	assert.NilError(t, err)
	var got []string
	pagetest.Script(t, []string{"record.js"}, "return "+string(asked)+".map(function (n) { return matchmark.sha256(Uint8Array.from({ length: n }, function (_, i) { return i * 7; })); });", &got)
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// whole is a record with one entry of each kind, as JSON for a script to spoil.
const whole = `
var T = "t".repeat(26), S = { at: 5, tablet: T }, H = "0".repeat(64);
function whole() {
  return {
    format: "matchmark-job-record", version: 1, job: "j".repeat(26), machine: { value: "No. 4", at: 5, tablet: T }, procedure: "out", variant: "belt",
    edition: "2", content: "0123456789abcdef", tablets: { [T]: { learner: "A", way: "out", step: "a", at: 5, tablet: T } },
    passed: { "out/a": { value: true, at: 5, tablet: T } }, ticks: { "out/a--remove-4": { value: true, at: 5, tablet: T } },
    work: { ["out/a@" + T + "@3"]: { from: 3, to: 5 } }, confirmed: { "out/a--confirm_2": { given: true, at: 5, tablet: T } },
    signed: { "out/a--sign": { who: "B", at: 5, key: H, seal: H + H } },
    measured: { "out/a--inspect-belts": { look: "Width", thing: "V-belts", value: "11.5", unit: "mm", low: "12 mm", high: "13 mm", at: 5, tablet: T } },
    findings: { "m-out/a--inspect-belts": { way: "out", step: "a", thing: "belts", name: "V-belts", kind: "worn", severity: "before-refit", photos: [H], found: 4, at: 5, tablet: T } },
    repairs: { "m-out/a--inspect-belts": { done: false, at: 5, tablet: T } }, photos: { [H]: { type: "image/jpeg", width: 8, height: 6, data: "AAAA" } },
  };
}
function told(change) {
  var r = whole();
  change(r);
  var read = matchmark.readRecord(JSON.stringify(r));
  return read.fault ? read.fault + (read.at ? " " + read.at : "") : "";
}
`

func TestRecordsThatATabletRefuses(t *testing.T) {
	wants := map[string]string{
		"":                               "",
		`r.more = "ignored"`:             "",
		`r.format = "other"`:             "other",
		`r.version = 2`:                  "",
		`r.version = 3`:                  "newer",
		`r.version = "1"`:                "broken format, version, job, procedure, edition, content",
		`r.job = "../../etc/passwd"`:     "broken format, version, job, procedure, edition, content",
		`r.procedure = "a/b"`:            "broken format, version, job, procedure, edition, content",
		`delete r.tablets`:               "broken tablets",
		`r.ticks = []`:                   "broken ticks",
		`r.ticks = null`:                 "broken ticks",
		`r.ticks["out/<script>"] = S2()`: "broken ticks/out/<script>",
		`Object.defineProperty(r.ticks, "__proto__", P)`:                                     "broken ticks/__proto__",
		`r.ticks["out/a"] = "x"`:                                                             "broken ticks/out/a",
		`r.ticks["out/a"] = { value: 1, at: 5, tablet: T }`:                                  "broken ticks/out/a",
		`r.passed["out/a"].at = 4102444800001`:                                               "", // is set right
		`r.passed["out/a"].at = -1`:                                                          "",
		`r.passed["out/a"].at = 1.5`:                                                         "broken passed/out/a",
		`r.machine.value = "x".repeat(81)`:                                                   "broken machine",
		`r.machine.value = "\u{1F527}".repeat(80)`:                                           "", // characters count, not their halves
		`r.machine.value = "a\nb"`:                                                           "broken machine",
		`r.tablets[T].learner = "<img src=x onerror=q()>"`:                                   "", // is a name, and shown as text
		`r.findings["m-out/a--inspect-belts"].kind = "x"`:                                    "broken findings/m-out/a--inspect-belts",
		`r.findings["m-out/a--inspect-belts"].photos = ["a"]`:                                "broken findings/m-out/a--inspect-belts",
		`r.photos["../x.jpg"] = r.photos[H]`:                                                 "broken photos/../x.jpg",
		`r.photos[H].data = "A".repeat(3 << 20)`:                                             "broken photos/" + strings.Repeat("0", 64),
		`r.photos[H].width = 5000`:                                                           "broken photos/" + strings.Repeat("0", 64),
		`for (var i = 0; i < 65; i++) r.tablets[String(i).padStart(26, "0")] = r.tablets[T]`: "broken tablets",
	}
	programs := map[string]string{}
	for change := range wants {
		programs[change] = whole + `function S2() { return { value: true, at: 5, tablet: T }; }
			var P = { value: S2(), enumerable: true };
			return told(function (r) { ` + change + ` });`
	}
	for text, want := range map[string]string{"{": "text", "[]": "other", "null": "other", `"x"`: "other"} {
		wants[text] = want
		programs[text] = "return matchmark.readRecord(" + strconv.Quote(text) + ").fault;"
	}
	wants["more than 64 MiB"] = "big"
	programs["more than 64 MiB"] = `return matchmark.readRecord(" ".repeat((64 << 20) + 1)).fault;`
	for name, got := range outcomes[string](t, []string{"record.js"}, programs) {
		if got != wants[name] {
			t.Errorf("%s: %q, want %q", name, got, wants[name])
		}
	}
}

// The host decides for what it was sent, and sets times right; what was changed since stays.
func TestTabletSettlesWithTheHost(t *testing.T) {
	var got []string
	pagetest.Script(t, []string{"record.js"}, `
		var T = "a".repeat(26), late = matchmark.latestMoment;
		function row(value, at) { return { value: value, at: at, tablet: T }; }
		function record(ticks) { return { format: "matchmark-job-record", version: 2, job: T, machine: row("No. 4", 0), procedure: "p", edition: "1", content: "0".repeat(16), tablets: {}, ticks: ticks }; }
		var sent = record({ a: row(true, late), b: row(true, late), d: row(true, 5) });
		var mine = record({ a: row(true, late), b: row(false, late), c: row(true, 7), d: row(true, 5) });
		var host = record({ a: row(true, 100), b: row(true, 100), e: row(true, 50) });
		var out = matchmark.settle(mine, sent, host).ticks;
		return ["a", "b", "c", "d", "e"].map(function (k) { return k + " " + out[k].value + " " + out[k].at; });`, &got)
	if want := []string{"a true 100", "b false 4102444800000", "c true 7", "d true 5", "e true 50"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// What a tablet writes down of a job.
func TestJobRecord(t *testing.T) {
	cases := map[string]struct{ program, want string }{
		"a change is later than what it replaces, whatever the clock says": {`var j = open(); j.tickRow("x", true); at -= 5000; j.tickRow("x", false);
			return String(j.record().ticks["out/x"].at);`, "1000001"},
		"the refitting goes on with the record": {`open().tickRow("x", true); var j = back(); j.tickRow("y", true);
			return Object.keys(j.record().ticks).join();`, "out/x,back/y"},
		"who works is written beside what they did": {`var j = open(); j.nameLearner("Kim"); j.tickRow("x", true);
			return j.record().ticks["out/x"].by + " " + Object.values(j.record().tablets)[0].learner + " " + open().learner();`, "Kim Kim Kim"},
		"two windows do not overwrite each other": {`var j = open(), k = open(); j.tickRow("x", true); k.tickRow("y", true); j.find("f".repeat(26), { way: "out", step: "a", name: "B", kind: "worn", severity: "watch" });
			return Object.keys(open().record().ticks).sort().join() + open().findings().length;`, "out/x,out/y1"},
		"a window takes over what another stored": {`var j = open(), k = open(), told = 0; k.changed(function () { told++; }); j.tickRow("x", true); k.reload();
			return k.ticked("x") + " " + told;`, "true 1"},
		"a window follows another that begins anew": {`var j = open(), k = open(); k.tickRow("x", true); j.reload(); j.startOver(); k.tickRow("y", true);
			return (k.record().job === j.record().job) + " " + k.ticked("x") + " " + k.ticked("y");`, "true false true"},
		"progress of older pages is taken over": {`kept[plan.old] = JSON.stringify({ step: "b", ticks: { "a--remove-4": true, "a--confirm-2": true, "a--sign": "AB" }, seconds: { a: 60, b: 30 }, passed: { a: true }, running: true, seen: 900000 });
			var j = open(); return [j.ticked("a--remove-4"), j.confirmed("a--confirm_2"), j.confirmed("a--sign"), j.seconds("a"), j.seconds("b"), j.total(), j.passed("a"), j.step(), plan.old in kept, Boolean(matchmark.readRecord(JSON.stringify(j.record())).record)].join();`,
			"true,true,AB,60,30,90,true,b,false,true"},
		"older progress stays where nothing can be kept": {`kept[plan.old] = JSON.stringify({ step: "b", ticks: { x: true }, seconds: {}, passed: {} }); refuse = true;
			var j = open(); return j.ticked("x") + " " + (plan.old in kept);`, "true true"},
		"another edition is said, and nothing is lost": {`open().tickRow("x", true); var j = open({ edition: "3", content: "1".repeat(16) }), first = j.otherText() + j.ticked("x"); j.seeText();
			return first + " " + open({ edition: "3", content: "1".repeat(16) }).otherText();`, "2true null"},
		"what cannot be read is put aside": {`kept["matchmark.record.out.belt"] = "newer"; var j = open(), first = j.unread; j.tickRow("x", true); var again = open().unread; j.dropUnread();
			return [first, again, open().unread, open().ticked("x")].join();`, "newer,newer,,true"},
		"starting over keeps the old job": {`var j = open(), old = j.record().job; j.tickRow("x", true); j.startOver();
			return (JSON.parse(kept["matchmark.record-done." + old]).job === old) + " " + (j.record().job !== old);`, "true true"},
		"starting over does not keep a job that was saved as a file": {`var j = open(), old = j.record().job; j.tickRow("x", true); j.filed(); j.startOver();
			return String("matchmark.record-done." + old in kept);`, "false"},
		"a change after saving counts": {`var j = open(), old = j.record().job; j.tickRow("x", true); j.filed(); wait(1); j.tickRow("y", true); j.startOver();
			return String("matchmark.record-done." + old in kept);`, "true"},
		"starting over is refused where the old job cannot be kept": {`var j = open(), old = j.record().job; j.tickRow("x", true); refuse = true;
			return j.startOver() + " " + (j.record().job === old);`, "false true"},
		"a record of another tablet is taken in": {`var j = open(), other = JSON.parse(JSON.stringify(j.record())); other.ticks = { "out/y": { value: true, at: 5, tablet: "z".repeat(26) } }; j.tickRow("x", true);
			return j.take(other) + " " + Object.keys(open().record().ticks).sort().join();`, "null out/x,out/y"},
		"nothing new is not stored again": {`var j = open(), told = 0; j.tickRow("x", true); j.changed(function () { told++; }); j.take(JSON.parse(JSON.stringify(j.record())));
			return String(told);`, "0"},
		"a record of another procedure is refused": {`var j = open(), other = JSON.parse(JSON.stringify(j.record())); other.procedure = "other";
			return j.take(other).fault;`, "elsewhere"},
		"a damaged record is refused": {`var j = open(), other = JSON.parse(JSON.stringify(j.record())); other.machine = 4;
			return j.take(other).fault;`, "broken"},
		"joining another job keeps what was done here": {`var j = open(), old = j.record().job, other = matchmark.newRecord(plan, "z".repeat(26)); j.tickRow("x", true);
			return j.join(other) + " " + (j.record().job === other.job) + " " + j.ticked("x") + " " + ("matchmark.record-done." + old in kept);`, "true true false true"},
		"photos come without their data": {`var j = open(), other = JSON.parse(JSON.stringify(j.record())); other.photos = { ["0".repeat(64)]: { type: "image/jpeg", width: 1, height: 1, data: "AAAA" } }; j.take(other);
			return JSON.stringify(j.record().photos["0".repeat(64)]);`, `{"type":"image/jpeg","width":1,"height":1}`},
		"a withdrawn finding stays in the record": {`var j = open(), f = "f".repeat(26); j.find(f, { way: "out", step: "a", name: "B", kind: "worn", severity: "watch" }); j.find(f, { withdrawn: true });
			var gone = j.findings().length; j.find(f, { withdrawn: false }); return gone + " " + j.findings().length;`, "0 1"},
		"waiting for a signature is said and taken back": {`var j = open(); j.goTo("a"); j.wait("a--sign"); var is = j.waits("a--sign"); j.wait("");
			return is + " " + j.waits("a--sign");`, "true false"},
		"what is written down can be read again": {`var j = open(); j.goTo("a"); j.nameMachine("No. 4"); j.confirm("a--sign", "AB"); j.confirm("a--confirm", true); j.pass("a"); wait(3); j.goTo("b");
			j.measure("a--inspect-x", { look: "L", thing: "T", value: "1.5", unit: "mm", low: "1 mm" }); j.find("f".repeat(26), { way: "out", step: "a", name: "B", kind: "worn", severity: "watch", words: "", photos: [] });
			j.repair("f".repeat(26), true); j.end(); return JSON.stringify(matchmark.readRecord(JSON.stringify(j.record())).fault || "");`, `""`},
	}
	programs := map[string]string{}
	for name, c := range cases {
		programs[name] = device + c.program
	}
	for name, got := range outcomes[string](t, []string{"record.js", "job.js"}, programs) {
		if want := cases[name].want; got != want {
			t.Errorf("%s: got %s, want %s", name, got, want)
		}
	}
}
