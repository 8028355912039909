package check_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/check/examples"
)

// parts is a procedure that can be interrupted after each step, and guards one that takes off what it takes off too.
const parts = `---
kind: procedure
id: parts
title: Take the guard off in parts
machine: mixer
edition: "1"
---
## Lock it {#lock}
{time=10 safe-stop}

Lock it.

- [ ] establish isolated
- [ ] verify isolated

## Undo the screws {#screws}
{time=10 safe-stop}

Undo both.

- [ ] loosen 1

## Take them out {#out}
{time=10}

Take them out.

- [ ] remove 1

## Take the guard off {#guard}
{time=10 safe-stop}

Take it off.

- [ ] remove guard

## Look {#look}
{time=10}

Look at the drive.
`

// The items of a course are one continuous job for each machine: marks « and » stand where a message points.
func TestCourseIsOneJob(t *testing.T) {
	for _, c := range []struct{ name, items, codes string }{
		{"whole", "- procedure: parts\n- refit: parts", ""},
		{"over a night", "- procedure: parts\n  to: screws\n+\n- procedure: parts\n  from: out\n- refit: parts", ""},
		{"only its first half", "- procedure: parts\n  to: screws", ""},
		{"twice, with the refitting between", "- procedure: parts\n- refit: parts\n- procedure: parts\n- refit: parts", ""},
		{"out only", "- procedure: parts", ""},
		{"carried on in one session after a step that is no stop", "- procedure: parts\n  to: out\n- procedure: parts\n  from: guard", ""},
		{"on a prepared machine", "- procedure: parts\n  from: out\n  prepared: screws", ""},
		{"on a prepared machine, its start left to be found", "- procedure: parts\n  prepared: screws\n- refit: parts", ""},
		{"the refitting on a prepared machine", "- refit: parts\n  prepared: look", ""},
		{"the second half of the refitting on a prepared machine", "- refit: parts\n  prepared: refit-start", ""},
		{"another machine of the kind", "- procedure: parts\n- procedure: parts\n  prepared: whole", ""},
		{"the refitting over a night", "- procedure: parts\n- refit: parts\n  to: refit-start\n+\n- refit: parts\n  from: guard-back", "session-end"},

		{"begins in the middle", "- procedure: parts\n  from: «out»", "course-order"},
		{"leaves a step out", "- procedure: parts\n  to: lock\n- procedure: parts\n  from: «out»", "course-order"},
		{"leaves a step out over a night", "- procedure: parts\n  to: lock\n+\n- procedure: parts\n  from: «out»", "course-order"},
		{"does a step twice", "- procedure: parts\n  to: screws\n- procedure: parts\n  from: «screws»", "course-order"},
		{"begins anew", "- procedure: parts\n  to: screws\n- procedure: «parts»", "course-order"},
		{"twice without the refitting", "- procedure: parts\n- procedure: «parts»", "course-order"},
		{"refitting before the removal", "- refit: «parts»\n- procedure: parts", "course-order"},
		{"refitting twice", "- procedure: parts\n- refit: parts\n- refit: «parts»", "course-order"},
		{"refitting in the midst of the removal", "- procedure: parts\n  to: guard\n- refit: «parts»", "course-order"},
		{"prepared to another step", "- procedure: parts\n  prepared: «lock»\n  from: out", "course-order"},
		{"prepared to no step", "- procedure: parts\n  prepared: «scrws»", "undefined-course-step"},
		{"refitting from no step", "- procedure: parts\n- refit: parts\n  from: «guard»", "undefined-course-step"},
		{"ends where nobody may stop", "- procedure: parts\n  to: «out»\n+\n- procedure: parts\n  from: guard", "session-end"},
		{"goes to another machine where nobody may stop", "- procedure: parts\n  to: «out»\n- procedure: service\n  prepared: whole", "session-end"},
		{"another procedure on an open machine", "- procedure: parts\n- procedure: «service»", "course-state"},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := "---\nkind: course\nid: b\ntitle: B\nsession: 8 h\nsessions:\n  - title: One\n    items:\n"
			for _, line := range strings.Split(c.items, "\n") {
				if line == "+" {
					text += "  - title: Two\n    items:\n"
				} else {
					text += "      " + line + "\n"
				}
			}
			files, err := examples.Compose(examples.Part{Place: "procedures/parts.md", Text: parts}, examples.Part{Place: "courses/b.md", Text: text + "---\n"})
			assert.NilError(t, err)
			all, marks := checkFiles(t, files)
			got, codes := map[string]bool{}, map[string]bool{}
			for _, d := range all {
				got[fmt.Sprintf("%s:%d-%d", d.Span.File.Name, d.Span.Start, d.Span.End)] = true
				codes[string(d.Code)] = true
			}
			if found := fmt.Sprint(slices.Sorted(maps.Keys(codes))); found != "["+c.codes+"]" || len(marks) > 0 && !maps.Equal(got, marks) {
				t.Errorf("messages at %v, marks at %v, want %q:\n%s", slices.Sorted(maps.Keys(got)), slices.Sorted(maps.Keys(marks)), c.codes, printed(t, all))
			}
		})
	}
}
