package comparison

import (
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
)

const refitFile = `---
kind: refit
procedure: p
---
::: step lift-back "Put the hood on" {time=3/4/6}
::: caution caution {about=hood}
The edge is sharp.
:::
Put the hood on.
::: actions
- fit hood
:::
:::
::: step torque "Tighten the screws" {time=2/3/4 after=lift-back tools="ratchet"}
Tighten crosswise.
::: fasteners
- tighten 1
:::
::: hold "Before the run"
- All screws are in
:::
:::
`

// withRefit is a library of one procedure with something written for its refitting; empty for nothing.
func withRefit(t *testing.T, refit, torque string) *procedure.Library {
	t.Helper()
	files := fstest.MapFS{
		"library.yaml": {Data: []byte("title: Bakery\nlanguage: en\n")},
		"m.md":         {Data: []byte(strings.Replace(machineFile, "20 N·m", torque, 1))}, "p.md": {Data: []byte(procedureFile)},
	}
	if refit != "" {
		files["r.md"] = &fstest.MapFile{Data: []byte(refit)}
	}
	return read(t, files)
}

func TestWhatIsWrittenForTheWayBack(t *testing.T) {
	changed := strings.NewReplacer("caution caution", "caution danger", "procedure: p\n", "procedure: p\nout:\n  - hood\n", "Tighten crosswise.", "Tighten in a circle.",
		"- All screws are in", "- All screws are in\n- The floor is clear").Replace(refitFile)
	for name, test := range map[string]struct {
		before, after string
		torque        string // of the new edition; the old one has 20 N·m
		want, not     []string
	}{
		"changed": {refitFile, changed, "20 N·m",
			[]string{"Refitting: Hood off\nEdition 1 in both\nOnly what is written for the refitting is compared; derived steps follow the removal.\nThe edition is still 1", "more severe: Put the hood on", "changed: after Tighten the screws", "+ The floor is clear", "+ Tighten in a circle.", "Does not go back:\n        + Hood"},
			[]string{"\nHood off\n", "step 0", "Expected time, all steps"}},
		"new":  {"", refitFile, "20 N·m", []string{"Refitting: Hood off", "2 new steps", "new: Put the hood on", "new: Tighten the screws"}, []string{"The same in both"}},
		"gone": {refitFile, "", "20 N·m", []string{"Refitting: Hood off", "2 steps gone", "gone: Put the hood on"}, nil},
		"same": {refitFile, refitFile, "20 N·m", []string{"Hood off"}, []string{"Refitting:"}},
		"a row of the register, which stands with the removal": {refitFile, refitFile, "25 N·m", []string{"20 N·m → 25 N·m"}, []string{"Refitting:"}},
	} {
		v, err := Between(withRefit(t, test.before, "20 N·m"), withRefit(t, test.after, test.torque), "", "en")
		assert.NilError(t, err)
		got := "\n" + text(t, v)
		for _, want := range test.want {
			if !strings.Contains(got, want) {
				t.Errorf("%s: %q is not in\n%s", name, want, got)
			}
		}
		for _, not := range test.not {
			if strings.Contains(got, not) {
				t.Errorf("%s: %q is in\n%s", name, not, got)
			}
		}
	}
	// By the procedure's name, its refitting comes along; the page has no table of times for it.
	v, err := Between(withRefit(t, refitFile, "20 N·m"), withRefit(t, changed, "25 N·m"), "p", "en")
	assert.NilError(t, err)
	page := parsed(t, v)
	pagetest.Expect(t, page, map[string][]string{"h2": {"Hood off", "Refitting: Hood off"}, ".totals caption": {"Expected time, all steps in sequence"}})
}
