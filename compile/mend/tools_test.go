package mend

import (
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"
)

// fittingMachine has tools that say what they fit.
var fittingMachine = strings.NewReplacer("| joins | torque |\n|---|---|---|---|---|---|", "| joins | torque | drive |\n|---|---|---|---|---|---|---|", "| 20 N·m |", "| 20 N·m | hex 13 mm |").Replace(machine) + `
::: register tools
Each: kind tool

| id | name | fits |
|---|---|---|
| spanner | Spanner 13 | hex 13 mm |
| wrench | Torque wrench | 10-60 N·m ± 4 % |
| lamp | Lamp | |
| cloth | Cloth | remove, fit guard |
| mitts | Mitts | remove guard |
:::
`

const headed = `---
kind: procedure
id: guard-off
title: Take the guard off
edition: 1
machine: press
---

## Take the guard off {#guard}
{time=2 LISTED}

- [ ] remove 1
- [ ] remove guard
`

// A tool that follows from what a step does goes out of its list; what only the derived way back would lose stays.
func TestListedTools(t *testing.T) {
	for listed, want := range map[string]string{
		"tools=spanner":                   "{time=2}",
		`tools="spanner, lamp"`:           "{time=2 tools=lamp}",
		`tools="lamp, spanner"`:           "{time=2 tools=lamp}",
		`tools="lamp, cloth"`:             "{time=2 tools=lamp}",
		`tools="wrench, lamp, cloth"`:     `{time=2 tools="wrench, lamp"}`,
		"tools=mitts":                     "", // the derived step, which fits the guard, has them from this list
		`tools="mitts, spanner"`:          "{time=2 tools=mitts}",
		`tools="spanner, cloth" people=2`: "{time=2 people=2}",
		"tools=lamp":                      "",
		"tools=none":                      "",
		"people=2":                        "",
	} {
		files := fstest.MapFS{
			"machines/press.md":   {Data: []byte(fittingMachine)},
			"procedures/guard.md": {Data: []byte(strings.Replace(headed, "LISTED", listed, 1))},
		}
		out, err := Renew(files)
		assert.NilError(t, err, listed)
		assert.Assert(t, !out.Log.HasErrors(), "%s: %+v", listed, out.Log.Sorted())
		got := ""
		for _, f := range out.Files {
			assert.Equal(t, f.Old.Name, "procedures/guard.md")
			got = strings.Split(string(f.Source), "\n")[9]
			files[f.Old.Name] = &fstest.MapFile{Data: f.Source}
		}
		if got != want {
			t.Errorf("%s becomes %q, want %q", listed, got, want)
		}
		again, err := Renew(files)
		assert.NilError(t, err)
		assert.Equal(t, len(again.Files), 0, listed)
	}
}

// Steps that have tools in common keep what they list: without it they would get those.
func TestListedToolsAndDefaults(t *testing.T) {
	files := fstest.MapFS{
		"machines/press.md":   {Data: []byte(fittingMachine)},
		"procedures/guard.md": {Data: []byte(strings.NewReplacer("LISTED", "tools=spanner", "edition: 1\n", "edition: 1\ntools: [lamp]\n").Replace(headed))},
	}
	out, err := Renew(files)
	assert.NilError(t, err)
	assert.Equal(t, len(out.Files), 0)
}
