package revise

import (
	"bytes"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/source"
)

const library = `---
kind: procedure
id: out
title: Töpfe heraus
machine: m
edition: "1"
---
::: step a "First" {time=4/6/10 people=2}
Text mit 4/6/10 darin.
:::

::: step b "Second" { time="0.5/1/2 h"  tools="x" }
  Zwei   Leerzeichen.
:::
::: step c "Third" {time=3}
:::
::: step d "Fourth"
:::
`

// The new times stand in the source, and everything else is as it was, byte for byte.
func TestNothingElseChanges(t *testing.T) {
	for name, src := range map[string]string{
		"plain": library, "CRLF": strings.ReplaceAll(library, "\n", "\r\n"), "BOM": "\ufeff" + library, "no newline at the end": strings.TrimRight(library, "\n"),
	} {
		var log diagnostic.Log
		lib, err := source.Read(fstest.MapFS{"p.md": {Data: []byte(src)}}, &log)
		assert.NilError(t, err)
		lib.Resolve(&log)
		records := []Record{{Step: "a", Minutes: 12}, {Step: "a", Minutes: 12}, {Step: "b", Minutes: 100}, {Step: "c", Minutes: 3}, {Step: "d", Minutes: 5}}
		report := Times(lib.Procedures, records, Practice{}, Memory{})
		if len(report.Revisions) != 4 {
			t.Fatalf("%s: %d revisions", name, len(report.Revisions))
		}
		if d := report.Revisions[3]; !d.Changed || d.Writable {
			t.Errorf("%s: a step without a time attribute: %+v", name, d)
		}
		out, err := rewrite.Make(report.Edits())
		if err != nil || len(out) != 1 || out[0].Old.Name != "p.md" {
			t.Fatalf("%s: %v, %v", name, out, err)
		}
		a, b := report.Revisions[0].Value, report.Revisions[1].Value
		want := strings.Replace(src, "time=4/6/10", "time="+a, 1)
		want = strings.Replace(want, `time="0.5/1/2 h"`, `time="`+b+`"`, 1)
		if a == "4/6/10" || b == "0.5/1/2 h" || string(out[0].Source) != want {
			t.Errorf("%s: a is %s, b is %s, and the file\n%q, want\n%q", name, a, b, out[0].Source, want)
		}
		if !bytes.Equal(out[0].Old.Source, []byte(src)) {
			t.Errorf("%s: the file as read was changed", name)
		}
		// What was written is read back as the new estimate, in minutes.
		again, err := source.Read(fstest.MapFS{"p.md": {Data: out[0].Source}}, &log)
		assert.NilError(t, err)
		again.Resolve(&log)
		for i := range 2 {
			got, want := again.Procedures[0].Steps[i].Time, report.Revisions[i].New
			if got.Optimistic != want.Optimistic || got.Likely != want.Likely || got.Pessimistic != want.Pessimistic {
				t.Errorf("%s: step %d reads %+v, want %+v", name, i, got, want)
			}
		}
	}
}
