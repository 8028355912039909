package rows_test

import (
	"slices"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rows"
	"matchmark/procedure/source"
)

const machine = `---
kind: machine
id: fan
title: Fan
---
::: register parts
| id | name | mass | stand | base |
|---|---|---|---|---|
| frame | Frame | 40 kg | | yes |
| wheel | Fan wheel | 3 kg | rack | |
:::
::: register fasteners
| no | name | kind | thread | class | drive | torque | friction | joins | bag |
|---|---|---|---|---|---|---|---|---|---|
| 1 | Wheel screw | screw | M8 | 8.8 | hex 13 mm | 24 N·m | 0.2 | frame, wheel | bag |
:::
::: register conditions
| id | name | undo | energy |
|---|---|---|---|
| isolated | Isolated | take the lock off | yes |
:::
`

const job = `---
kind: procedure
id: wheel-out
title: Wheel out
machine: fan
edition: "1"
---
::: step lock "Lock it" {time=3}
Turn the switch off.
::: actions
- establish isolated
- verify isolated
- verify isolated
:::
::: hold "Before any work" {signature=trainer}
- Nothing turns
- The key is in my pocket
:::
:::
::: step off "Take the wheel off" {time=4 needs=isolated}
Undo the screw.
::: fasteners
- remove 1
:::
::: actions
- remove wheel
:::
::: inspect {of=wheel}
- Blades: straight, no crack
- Bore: 20.00 mm to 20.02 mm
:::
:::
`

// TestOf names the rows of each kind of block. A name that comes again is counted.
func TestOf(t *testing.T) {
	var log diagnostic.Log
	read, err := source.Read(fstest.MapFS{"fan.md": {Data: []byte(machine)}, "job.md": {Data: []byte(job)}}, &log)
	assert.NilError(t, err)
	lib := read.Resolve(&log)
	if log.HasErrors() || len(lib.Procedures) != 1 {
		t.Fatalf("the procedure does not read: %v", log.Sorted())
	}
	want := [][]string{
		{"lock--establish-isolated", "lock--verify-isolated", "lock--verify-isolated_2", "lock--confirm", "lock--confirm_2", "lock--sign"},
		{"off--remove-1", "off--remove-wheel", "off--inspect-wheel", "off--inspect-wheel_2"},
	}
	found := 0
	j := lib.Procedures[0].Jobs()[0]
	byID := rows.ByID(j)
	for i, step := range j.Steps {
		var got []string
		for _, r := range rows.List(step) {
			got = append(got, r.ID)
			set := 0
			for _, is := range []bool{r.Action != nil, r.Item != nil, r.Hold != nil} {
				if is {
					set++
				}
			}
			if set != 1 || r.Step != step || byID[r.ID].Step != step {
				t.Errorf("row %s is not one thing of its step: %+v", r.ID, r)
			}
		}
		found += len(got)
		if !slices.Equal(got, want[i]) {
			t.Errorf("step %s: rows %q, want %q", step.ID, got, want[i])
		}
	}
	if len(byID) != found {
		t.Errorf("%d names for %d rows", len(byID), found)
	}
}
