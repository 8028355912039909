package revise

import (
	"fmt"
	"slices"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/source"
)

// A step that is written once for the refitting, and reads differently by variant, is
// recorded by tablets under as many names.
func TestRecordsOfAWayBackThatDiffersByVariant(t *testing.T) {
	files := fstest.MapFS{
		"library.yaml": {Data: []byte("title: Bakery\nlanguage: en\n")},
		"m.md": {Data: []byte(`---
kind: machine
id: m
title: Mixer
---
::: register variants "Variants"
| id | name |
|---|---|
| belt | Belt drive |
| chain | Chain drive |
| gear | Gear drive |
:::
::: register parts "Parts"
| id | name | base | stand |
|---|---|---|---|
| frame | Frame | yes | |
| hood | Hood | | on the bench |
| guard | Guard | | on the bench |
:::
`)},
		"p.md": {Data: []byte(`---
kind: procedure
id: p
title: Hood off
machine: m
edition: "1"
---
::: step guard "Take the guard off" {time=1/2/4}
::: actions
- remove guard
:::
:::
::: step hood "Take the hood off" {time=4/6/10}
::: actions
- remove hood
:::
:::
`)},
		"r.md": {Data: []byte(`---
kind: refit
procedure: p
---
::: step hood-back "Put the hood on" {time=3/4/6}
::: variant chain
Mind the chain.
:::
::: variant gear
Mind the gear.
:::
::: actions
- fit hood
:::
:::
::: step run "Run it" {time=2/3/4 variants=gear}
Run it.
:::
`)},
	}
	var log diagnostic.Log
	read, err := source.Read(files, &log)
	assert.NilError(t, err)
	lib := read.Resolve(&log)
	if log.HasErrors() {
		t.Fatalf("%+v", log.Sorted())
	}
	p := lib.Procedures[0]
	p.Refitting = refit.Derive(p, refit.AdditionsOf(p), func(key string, args ...any) string { return fmt.Sprint(append([]any{key}, args...)...) })
	p.Refitting.Removal = p
	var records []Record
	for _, job := range p.Refitting.Jobs() {
		for _, s := range job.Steps {
			records = append(records, Record{Step: s.ID, Procedure: p.Refitting.ID, Variant: job.Variant.ID, Minutes: 5})
		}
	}
	records = append(records,
		Record{Step: "hood-back-chain", Minutes: 5},                                                         // the name is one only
		Record{Step: "hood-back", Procedure: "p-back", Minutes: 5},                                          // as the author calls it
		Record{Step: "run", Procedure: "p-back", Variant: "belt", Minutes: 5},                               // not done there
		Record{Step: "guard-bakc", Procedure: "p-back", Minutes: 5}, Record{Step: "guard-back", Minutes: 5}, // a slip; derived
	)
	report := Times(append(lib.Procedures, p.Refitting), records, Practice{}, Memory{})
	var got []string
	for _, v := range report.Revisions {
		got = append(got, fmt.Sprintf("%s in %s: %d, %v", v.Step.ID, v.Procedures[0].ID, v.Records, len(v.Procedures)))
	}
	for _, l := range report.Unplaced {
		got = append(got, fmt.Sprint(l.Record.Step, " ", l.Why, " ", l.Suggest))
	}
	slices.Sort(got)
	want := []string{
		"guard-back derived-step ", "guard-back derived-step ", "guard-back derived-step ", "guard-back-gear derived-step ", "guard-bakc unknown-step ",
		"hood-back in p-back: 5, 1", "run in p-back: 1, 1", "run other-variant ",
	}
	if !slices.Equal(got, want) {
		t.Errorf("\n%q, want\n%q", got, want)
	}
	if edits := report.Edits(); len(edits) != 2 || edits[0].Span.File.Name != "r.md" {
		t.Errorf("edits %+v", edits)
	}
	var names []string
	for _, s := range p.Refitting.Steps {
		names = append(names, s.ID)
	}
	if !slices.Contains(names, "hood-back-chain") || !slices.Contains(names, "hood-back-gear") {
		t.Errorf("the refitting has the steps %q: the test looks at nothing", names)
	}
}
