package source

import (
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

const findHead = "---\nkind: procedure\nid: job\ntitle: Job\nmachine: m\nedition: \"1\"\n---\n"

// findBlocks reads a procedure of one step and gives the step's blocks, and the codes of what is wrong.
func findBlocks(t *testing.T, text string) ([]procedure.Block, string) {
	t.Helper()
	var log diagnostic.Log
	l, err := Read(fstest.MapFS{"job.md": {Data: []byte(findHead + "## Work {#work}\n{time=1}\n\n" + text)}}, &log)
	assert.NilError(t, err)
	var codes []string
	for _, d := range log.Sorted() {
		if d.Severity == diagnostic.Error {
			codes = append(codes, string(d.Code))
		}
	}
	if len(l.own) != 1 || len(l.own[0].steps) != 1 {
		t.Fatalf("%q gives no step: %v", text, codes)
	}
	return l.own[0].steps[0].Blocks, strings.Join(codes, " ")
}

func TestReadings(t *testing.T) {
	blocks, codes := findBlocks(t, "- [ ] read found in mm: 2 mm to 4 mm {of=hub title=\"Gap as found\" chance=20}\n- [ ] read wanted in mm {of=hub}\n"+
		"- [ ] compute shim in µm = 2 × found - wanted: at most 0.5 mm\n- [ ] read heat in °C every 5 min for 30 min: at most 70 °C {of=bearing}\n")
	if codes != "" || len(blocks) != 2 {
		t.Fatalf("%d blocks, %s", len(blocks), codes)
	}
	list := blocks[0].Shows().Readings
	if list.Of.ID != "hub" || len(list.Rows) != 3 {
		t.Fatalf("%+v", list)
	}
	found, shim := list.Rows[0], list.Rows[2]
	if found.Name != "found" || found.Words != "Gap as found" || found.Unit != "mm" || found.Chance != 20 || found.Limits == nil || found.Points() != 1 {
		t.Errorf("found: %+v", found)
	}
	if list.Rows[1].Limits != nil || list.Rows[1].Words != "Wanted" {
		t.Errorf("wanted: %+v", list.Rows[1])
	}
	want := []procedure.Addend{{Name: "found", Times: 2}, {Name: "wanted", Minus: true, Times: 1}}
	assert.DeepEqual(t, shim.Addends(), want)
	heat := blocks[1].Shows().Readings.Rows[0]
	if heat.Points() != 6 || heat.Unit != "°C" {
		t.Errorf("heat: %+v", heat)
	}
}

func TestReadingsTable(t *testing.T) {
	blocks, codes := findBlocks(t, "::: readings run \"Run\" {of=hub unit=mm limits=\"at most 0.05 mm\" chance=30}\n| at | rim | face |\n|---|---|---|\n| 12 o'clock | - | |\n| 3 o'clock | | at most 0.03 mm |\n:::\n")
	if codes != "" || len(blocks) != 1 {
		t.Fatalf("%d blocks, %s", len(blocks), codes)
	}
	x := blocks[0].Shows().Readings
	var got []string
	for _, r := range x.Rows {
		got = append(got, r.Name+" "+r.Accept)
	}
	assert.DeepEqual(t, got, []string{"run-12-o-clock-face at most 0.05 mm", "run-3-o-clock-rim at most 0.05 mm", "run-3-o-clock-face at most 0.03 mm"})
	assert.DeepEqual(t, x.Columns(), []string{"face", "rim"})
}

func TestDecisionsAndWaits(t *testing.T) {
	blocks, codes := findBlocks(t, "- [ ] decide worn: Is the belt worn? {chance=30}\n\n::: only {if=\"not worn\"}\nWipe it.\n\n- [ ] clean belt\n:::\n\n- [ ] wait 1 h 30 min: the glue sets {on=\"belt, hub\" people=1}\n")
	if codes != "" || len(blocks) != 4 {
		t.Fatalf("%d blocks, %s", len(blocks), codes)
	}
	d, w := blocks[0].Shows().Decision, blocks[3].Shows().Wait
	if d.Name != "worn" || d.Question.Plain() != "Is the belt worn?" || d.Chance != 30 {
		t.Errorf("%+v", d)
	}
	for _, b := range blocks[1:3] {
		if b.Base().If != "not worn" {
			t.Errorf("%s is done if %q", b.Kind().Label(), b.Base().If)
		}
	}
	if w.Time.Float("min") != 90 || w.People != 1 || len(w.On) != 2 {
		t.Errorf("%+v", w)
	}
}

// Every form that is wrong says so, once.
func TestFindFaults(t *testing.T) {
	for text, want := range map[string]string{
		"- [ ] read play":                                                         "find-form",
		"- [ ] read play in furlongs":                                             "bad-quantity",
		"- [ ] read Play in mm":                                                   "find-form",
		"- [ ] read play in mm: small":                                            "find-form",
		"- [ ] read play in mm: at most 3 bar":                                    "find-form",
		"- [ ] read heat in °C every 10 min for 10 min":                           "find-form",
		"- [ ] read heat in °C every 10 mm for 1 h":                               "bad-quantity",
		"- [ ] compute shim in mm":                                                "find-form",
		"- [ ] compute shim in mm = found -":                                      "find-form",
		"- [ ] compute shim in mm = found wanted":                                 "find-form",
		"- [ ] decide worn":                                                       "find-form",
		"- [ ] decide: Is it worn?":                                               "find-form",
		"- [ ] wait: the oil drains":                                              "find-form",
		"- [ ] wait 5 min":                                                        "find-form",
		"- [ ] wait 5 mm: the oil drains":                                         "bad-quantity",
		"- [ ] wait 5 min: the oil drains\n\nThen go on.":                         "find-form",
		"- [ ] decide worn: Is it worn? {chance=100}":                             "attribute-value",
		"::: only {if=\"worn and\"}\nWords.\n:::":                                 "find-form",
		"::: only\nWords.\n:::":                                                   "missing-attribute",
		"::: decide worn\n:::":                                                    "find-form",
		"::: readings run {of=hub}\n| a | b |\n|---|---|\n| c | |\n:::":           "missing-attribute",
		"::: readings run {unit=mm}\n- one\n:::":                                  "empty-block find-form",
		"::: readings run {unit=mm}\n| a | b |\n|---|---|\n| c | |\n| c | |\n:::": "find-form",
	} {
		if _, codes := findBlocks(t, "Words.\n\n"+text+"\n"); codes != want {
			t.Errorf("%q is told as %q, want %q", text, codes, want)
		}
	}
}

func TestRounds(t *testing.T) {
	for attributes, want := range map[string]string{
		`until="play within" most=4`:                "",
		`until="play within" most=4 rounds=1/2/4`:   "",
		`until="play within"`:                       "round-form",
		`most=4`:                                    "round-form",
		`until="play within" most=1`:                "round-form",
		`until="play within" most=4 rounds=1/2/5`:   "round-form",
		`until="play within" most=4 rounds=0/2/3`:   "round-form",
		`until="play within" most=4 rounds="2 min"`: "round-form",
		`until="play and" most=4`:                   "find-form",
	} {
		var log diagnostic.Log
		l, err := Read(fstest.MapFS{"job.md": {Data: []byte(findHead + "# Chapter\n{" + attributes + "}\n\n## A {#a}\n{time=1}\n\n- [ ] read play in mm: at most 1 mm\n\n## B {#b}\n{time=1}\n\nWords.\n")}}, &log)
		assert.NilError(t, err)
		var codes []string
		for _, d := range log.Sorted() {
			codes = append(codes, string(d.Code))
		}
		if got := strings.Join(codes, " "); got != want {
			t.Errorf("%s is told as %q, want %q", attributes, got, want)
		}
		steps := l.own[0].steps
		if want == "" && (steps[0].Round.First != "a" || steps[1].Round.First != "a" || steps[1].Round.Most != 4 || steps[1].Chapter != "Chapter") {
			t.Errorf("%s: %+v", attributes, steps[1].Round)
		}
	}
}

func FuzzFind(f *testing.F) {
	f.Add("- [ ] read heat in °C every 5 min for 30 min: at most 70 °C {of=bearing}")
	f.Add("- [ ] compute shim in mm = 2 × found - wanted: at most 0.5 mm")
	f.Add("- [ ] decide worn: Is it worn? {chance=30}\n\n::: only {if=\"not worn or a and b\"}\n- [ ] wait 5 min: x {on=a}\n:::")
	f.Add("::: readings run \"Run\" {unit=mm}\n| a | b |\n|---|---|\n| c | - |\n:::")
	f.Fuzz(func(t *testing.T, text string) {
		var log diagnostic.Log
		l, err := Read(fstest.MapFS{"job.md": {Data: []byte(findHead + "## Work {#work}\n{time=1}\n\n" + text)}}, &log)
		if err != nil {
			return
		}
		for _, own := range l.own {
			for _, s := range own.steps {
				for _, b := range s.Blocks {
					if x := b.Shows().Readings; x != nil {
						if len(x.Rows) == 0 {
							t.Fatalf("a block asks for nothing: %q", text)
						}
						for i := range x.Rows {
							if r := &x.Rows[i]; r.Name == "" || r.Unit == "" || r.Points() < 1 || r.Sum != "" && len(r.Addends()) == 0 {
								t.Fatalf("%+v of %q", r, text)
							}
						}
					}
					if c := b.Base().If; c != "" && len(c.Names()) == 0 {
						t.Fatalf("a condition without names: %q of %q", c, text)
					}
				}
			}
		}
	})
}
