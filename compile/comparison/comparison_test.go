package comparison

import (
	"bytes"
	"errors"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/source"
)

const machineFile = `---
kind: machine
id: m
title: Mixer
---
::: register parts "Parts"
| id | name | base |
|---|---|---|
| frame | Frame | yes |
| hood | Hood | |
:::
::: register fasteners "Fasteners"
| no | name | kind | thread | torque | joins |
|---|---|---|---|---|---|
| 1 | Hood screw | bolt | M8 | 20 N·m | hood, frame |
:::
::: register tools "Tools"
| id | name | kind | quantity | single |
|---|---|---|---|---|
| ratchet | Ratchet | tool | 1 pcs | |
| torch | Torch | tool | 1 pcs | |
:::
`

const procedureFile = `---
kind: procedure
id: p
title: Hood off
machine: m
edition: "1"
---
One person does it.

::: step look "Look" {time=2/3/5 tools="torch"}
Look at the <hood>.
:::
::: step screws "Undo the screws" {time=4/6/10 tools="ratchet"}
::: caution warning {about=1}
The hood can drop.
:::
Undo the screws.
::: fasteners
- remove 1
:::
::: hold "Before the lift" {signature=trainer}
- The floor is clear
:::
:::
::: step lift "Lift the hood" {time=3/4/6}
::: actions
- remove hood
:::
:::
`

// library reads the two files, with some words replaced: pairs of what stands there and what takes its place.
func library(t *testing.T, language string, pairs ...string) *procedure.Library {
	t.Helper()
	files := []string{machineFile, procedureFile, strings.NewReplacer("id: p\n", "id: q\n", "machine: m", "machine: n", "Hood off", "Hood off again").Replace(procedureFile)}
	for i := 0; i < len(pairs); i += 2 {
		found := false
		for k := range files[:2] {
			if strings.Contains(files[k], pairs[i]) {
				files[k], found = strings.Replace(files[k], pairs[i], pairs[i+1], 1), true
			}
		}
		if !found {
			t.Fatalf("%q is not there to be replaced", pairs[i])
		}
	}
	return read(t, fstest.MapFS{
		"library.yaml": {Data: []byte("title: Bakery\nlanguage: " + language + "\n")},
		"m.md":         {Data: []byte(files[0])}, "p.md": {Data: []byte(files[1])},
		"n.md": {Data: []byte(strings.Replace(machineFile, "id: m", "id: n", 1))}, "q.md": {Data: []byte(files[2])},
	})
}

func read(t *testing.T, files fstest.MapFS) *procedure.Library {
	t.Helper()
	var log diagnostic.Log
	read, err := source.Read(files, &log)
	assert.NilError(t, err)
	lib := read.Resolve(&log)
	for _, d := range log.Sorted() {
		if d.Severity == diagnostic.Error {
			t.Fatalf("%+v", d)
		}
	}
	return lib
}

func compared(t *testing.T, language string, pairs ...string) *View {
	t.Helper()
	v, err := Between(library(t, language), library(t, language, pairs...), "", language)
	assert.NilError(t, err)
	return v
}

func text(t *testing.T, v *View) string {
	t.Helper()
	var b bytes.Buffer
	assert.NilError(t, v.Text(&b))
	return b.String()
}

func parsed(t *testing.T, v *View) *pagetest.Element {
	t.Helper()
	var b bytes.Buffer
	assert.NilError(t, v.Page(&b))
	page := pagetest.Parse(t, b.Bytes())
	return page
}

// everything changes one thing of each kind.
var everything = []string{
	"caution warning", "caution danger",
	"- The floor is clear", "- The floor is clear\n- My helper is ready",
	"time=4/6/10 tools=\"ratchet\"", "time=2/4/6 tools=\"torch\" safe-stop",
	"::: step lift \"Lift the hood\" {time=3/4/6}\n::: actions\n- remove hood\n:::\n:::\n", "",
	"::: step look", "::: step wrap \"Wrap it\" {time=1}\nWrap.\n:::\n::: step look",
	"20 N·m", "25 N·m", "| torch | Torch | tool | 1 pcs | |", "| torch | Torch | tool | 2 pcs | yes |",
	"One person does it.", "Two do it.",
}

func TestText(t *testing.T) {
	const want = `Hood off
Edition 1 in both
The edition is still 1, although something changed. Raise it so that old and new prints can be told apart.
1 hazard differs · 1 hold point differs · 1 new step · 1 step gone · 1 step changed · 1 fastener is tightened differently · 2 tools and supports differ

  Expected time, all steps in sequence
    14 min → 8 min  −6 min

  Hazards
    more severe: step 3, Undo the screws
      was WARNING: The hood can drop.
      now DANGER: The hood can drop.

  Hold points
    changed: after step 3, Undo the screws
      Confirmations:
        + My helper is ready

  Steps
    new: step 1, Wrap it
      Expected time: 1 min
    changed: step 3, Undo the screws
      Expected time: 6 min → 4 min (−2 min)
      Estimate: 4/6/10 min → 2/4/6 min
      Tools:
        - Ratchet
        + Torch
      Safe stop: no → yes
    gone: step 3, Lift the hood
      It took 4 min.

  Fasteners
    changed: no. 1, Hood screw
      It is tightened differently.
      Torque: 20 N·m → 25 N·m

  Tools, consumables and supports
    changed: Torch
      Used in: Look, Undo the screws
      Quantity: 1 pcs → 2 pcs
      Only one in the shop: no → yes
    gone: Ratchet
      Was used in: Undo the screws

  The procedure itself
    changed: Hood off
      Introduction:
        - One person does it.
        + Two do it.

The same in both: Hood off again
`
	if got := text(t, compared(t, "en", everything...)); got != want {
		t.Errorf("got\n%s", got)
	}
}

func TestPageSaysTheSame(t *testing.T) {
	v := compared(t, "en", everything...)
	page := parsed(t, v)
	pagetest.Expect(t, page, map[string][]string{
		"h1":                     {"What changed"},
		"h3":                     {"Hazards", "Hold points", "Steps", "Fasteners", "Tools, consumables and supports", "The procedure itself"},
		".not-raised":            {v.Compared[0].NotRaised},
		".totals td":             {"14 min", "8 min", "−6 min"},
		".signal.danger div":     {"The hood can drop."},
		".added .change-title":   {"new step 1, Wrap it"},
		".removed .change-title": {"gone step 3, Lift the hood", "gone Ratchet"},
		"script":                 nil,
		"link":                   nil,
	})
}

// Words of authors stay words.
func TestPageEscapes(t *testing.T) {
	v := compared(t, "en", "Look at the <hood>.", "Look at the <i>hood</i>.")
	pagetest.Expect(t, parsed(t, v), map[string][]string{"ins": {"Look at the <i>hood</i>."}, "ins i": nil})
}

func TestMovedAndRaisedEdition(t *testing.T) {
	screws := procedureFile[strings.Index(procedureFile, "::: step screws"):strings.Index(procedureFile, "::: step lift")]
	got := text(t, compared(t, "en", screws, "", "::: step look", screws+"::: step look", `edition: "1"`, `edition: "2"`))
	for _, want := range []string{"Edition 1 → edition 2\n", "1 step moved\n", "    moved: step ", "It was ", "the first step"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
	if strings.Contains(got, "still called") {
		t.Errorf("the edition was raised:\n%s", got)
	}
}

func TestNothingChanged(t *testing.T) {
	v := compared(t, "en")
	if got, want := text(t, v), "The same in both: Hood off, Hood off again\n"; got != want || v.Changed() {
		t.Errorf("got %q, changed %v", got, v.Changed())
	}
	pagetest.Expect(t, parsed(t, v), map[string][]string{"main p": {"Bakery", "Nothing changed in what both libraries contain."}, "h3": nil})
}

func TestOnlyInOneLibrary(t *testing.T) {
	v := compared(t, "en", "id: p\n", "id: r\n")
	got := text(t, v)
	if !strings.Contains(got, "Only in the new library: Hood off\n") || !strings.Contains(got, "Only in the old library: Hood off\n") || !v.Changed() {
		t.Errorf("got\n%s", got)
	}
}

func TestOneProcedure(t *testing.T) {
	for id, want := range map[string]UnknownError{
		"pp": {ID: "pp"}, "r": {ID: "r", InNew: true}, "p": {ID: "p", InOld: true},
	} {
		_, err := Between(library(t, "en"), library(t, "en", "id: p\n", "id: r\n"), id, "en")
		var got *UnknownError
		if !errors.As(err, &got) || *got != want {
			t.Errorf("%s: %v", id, err)
		}
	}
	v, err := Between(library(t, "en"), library(t, "en", "Undo the screws.", "Turn the screws out."), "q", "en")
	if err != nil || v.Changed() || len(v.Same) != 1 {
		t.Errorf("q: %+v, %v", v, err)
	}
}

func TestGerman(t *testing.T) {
	v := compared(t, "de", everything...)
	if page := parsed(t, v); strings.Contains(text(t, v), "[compare") {
		t.Error(text(t, v))
	} else {
		pagetest.Expect(t, page, map[string][]string{"h1": {"Was sich geändert hat"}})
	}
	if _, err := Between(library(t, "en"), library(t, "fr"), "", "fr"); err == nil {
		t.Error("a language without words was taken")
	}
}

// Whatever the comparison can name has words: each declared field, each kind of block, each list.
func TestEveryChangeHasWords(t *testing.T) {
	theme := pagetest.Theme(t)
	words, err := theme.Words("en")
	assert.NilError(t, err)
	named := map[string]bool{"order": true, "out": true}
	types := []any{
		procedure.Library{}, procedure.Procedure{}, procedure.Step{}, procedure.Machine{}, procedure.Variant{}, procedure.Part{}, procedure.Fastener{},
		procedure.Connection{}, procedure.Fluid{}, procedure.Support{}, procedure.Condition{}, procedure.Tool{}, procedure.Figure{},
		procedure.Course{}, procedure.Quiz{}, procedure.Question{},
	}
	for _, k := range procedure.Kinds() {
		shown := k.New().Shows()
		if shown.Warning != nil || shown.Hold != nil { // these have sections of their own, with all their fields
			types = append(types, reflect.ValueOf(k.New()).Elem().Interface())
			continue
		}
		named[k.Label()] = true
		for _, a := range k.Attributes {
			named[a.Name] = true
		}
	}
	for _, v := range types {
		for _, f := range procedure.FieldsOf(reflect.TypeOf(v)) {
			named[f.Word] = true
		}
	}
	// A thing's name in the dialect tells things apart and does not change; blocks are compared by what is in them, an edition's name stands above.
	// The signal word of a caution is shown with the caution.
	for _, word := range []string{"id", "blocks", "edition", "signal-word"} {
		delete(named, word)
	}
	for _, word := range slices.Sorted(maps.Keys(named)) {
		if key := "compare.what." + word; !words.Has(key) {
			t.Errorf("no words for %s", key)
		}
	}
}
