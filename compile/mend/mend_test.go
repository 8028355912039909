package mend

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure/rewrite"
)

// machine, procedure and quiz are a small library without a fault that is an error.
const (
	machine = `---
kind: machine
id: press
title: A press
---

::: register parts
| id | name | base |
|---|---|---|
| frame | Frame | yes |
| guard | Guard | |
:::

::: register fasteners
| no | name | kind | thread | joins | torque |
|---|---|---|---|---|---|
| 1 | Bolt | bolt | M8 | frame, guard | 20 N·m |
:::
`
	job = `---
kind: procedure
id: guard-off
title: Take the guard off
edition: 1
machine: press
---

::: step guard "Take the guard off" {time=2 people=1}
::: actions
- remove 1
- remove guard
:::
:::
`
)

func workshop(pairs ...string) fstest.MapFS {
	return fstest.MapFS{
		"machines/press.md":   {Data: []byte(strings.NewReplacer(pairs...).Replace(machine))},
		"procedures/guard.md": {Data: []byte(strings.NewReplacer(pairs...).Replace(job))},
	}
}

// Each slip is put right so that the library is as it was before, and nothing is left to do.
func TestMends(t *testing.T) {
	for name, slips := range map[string][]string{
		"a block and what is in it":   {"::: step", "::: stpe", "{time", "{tiem", "- remove guard", "- remove gaurd", "::: actions", "::: actoins"},
		"one word often":              {"frame, guard", "frame, gurad", "- remove guard", "- remove gurad"},
		"a line of the front matter":  {"title: ", "titel: "},
		"a unit and a thread":         {"20 N·m", "20 nM", "M8", "m8"},
		"a decimal comma":             {"time=2", "time=\"2,0\""},
		"quotation marks and a brace": {"\"Take the guard off\" {time=2 people=1}", "“Take the guard off” {time=2 people=1"},
		"spaces at an equals sign":    {"people=1", "people = 1"},
		"a column":                    {"| torque |", "| torqe |"},
	} {
		for _, ends := range []string{"\n", "\r\n"} {
			files, want := workshop(slips...), workshop()
			for _, all := range []fstest.MapFS{files, want} {
				for _, f := range all {
					f.Data = append([]byte("\uFEFF"), bytes.ReplaceAll(f.Data, []byte("\n"), []byte(ends))...)
				}
			}
			got := mended(t, name, files)
			for path, f := range want {
				wanted := string(f.Data)
				if name == "a decimal comma" {
					wanted = strings.Replace(wanted, "time=2", "time=\"2.0\"", 1)
				}
				if name == "quotation marks and a brace" && strings.Contains(wanted, "{time") {
					wanted = strings.Replace(wanted, "“", "\"", 1)
				}
				if string(got[path].Data) != wanted {
					t.Errorf("%s: %s is\n%s", name, path, got[path].Data)
				}
			}
		}
	}
}

// mended mends a library, sees that a second time finds nothing to do, and returns it.
func mended(t *testing.T, name string, files fstest.MapFS) fstest.MapFS {
	t.Helper()
	out, err := Library(files)
	assert.NilError(t, err)
	if len(out.Fixed) == 0 {
		for _, d := range out.Log.Sorted() {
			t.Errorf("%s: left: %s: %s", name, d.At(), d.Says())
		}
	}
	after := over(files, out.Files)
	again, err := Library(after)
	assert.NilError(t, err)
	if len(again.Fixed) != 0 || len(again.Files) != 0 {
		t.Errorf("%s: a second time fixes %d in %d files", name, len(again.Fixed), len(again.Files))
	}
	return after
}

func over(files fstest.MapFS, changed []rewrite.File) fstest.MapFS {
	after := fstest.MapFS{}
	for path, f := range files {
		after[path] = f
	}
	for _, f := range changed {
		after[f.Old.Name] = &fstest.MapFile{Data: f.Source}
	}
	return after
}

// What leaves open what was meant stays as it is.
func TestLeavesWhatIsNotSure(t *testing.T) {
	for name, slips := range map[string][]string{
		"another number":        {"- remove 1", "- remove 2"},
		"left for right":        {"| guard | Guard", "| guard-right | Guard", "frame, guard", "frame, guard-right", "- remove guard", "- remove guard-left"},
		"one short part":        {"| guard | Guard", "| guard-a | Guard", "frame, guard", "frame, guard-a", "- remove guard", "- remove guard-b"},
		"two are near":          {"| guard | Guard | |", "| guards | Guards | |\n| guard | Guard | |", "- remove guard\n", "- remove guardz\n"},
		"a thousand or a comma": {"20 N·m", "1,200 N·m"},
		"no such thread":        {"M8", "M9x1.1"},
		"an odd quotation mark": {"\"Take the guard off\"", "“Take the guard off"},
	} {
		out, err := Library(workshop(slips...))
		assert.NilError(t, err)
		if len(out.Files) != 0 {
			t.Errorf("%s: %s", name, out.Files[0].Source)
		}
	}
}

// An allowance for nothing goes, unless two paragraphs would become one or it is code that is shown.
func TestUnusedAllowances(t *testing.T) {
	const comment = "<!-- allow raw-html: no reason -->"
	for words, want := range map[string]string{
		"One.\n\n" + comment + "\nTwo.\n":           "One.\n\nTwo.\n",
		"One.\n" + comment + "\nTwo.\n":             "One.\n" + comment + "\nTwo.\n",
		"One. " + comment + "\nTwo.\n":              "One.\nTwo.\n",
		"One " + comment + " is two.\n":             "One  is two.\n",
		"```\n" + comment + "\n```\n":               "```\n" + comment + "\n```\n",
		"Write `" + comment + "` above the line.\n": "Write `" + comment + "` above the line.\n",
	} {
		files := workshop("::: actions", words+"\n::: actions")
		out, err := Library(files)
		assert.NilError(t, err)
		got := string(over(files, out.Files)["procedures/guard.md"].Data)
		if wanted := strings.Replace(job, "::: actions", want+"\n::: actions", 1); got != wanted {
			t.Errorf("%q: got\n%s", words, got)
		}
	}
}

// TestAnySlip makes every slip of one letter in a procedure: left out, doubled, swapped with the
// next, within a line. What is then put right is as it was before, or is an error still.
func TestAnySlip(t *testing.T) {
	stride := 1
	if testing.Short() {
		stride = 7
	}
	put, all := 0, 0
	for at := 0; at+1 < len(job); at += stride {
		if job[at] == '\n' || job[at+1] == '\n' {
			continue
		}
		for _, slip := range []string{job[:at] + job[at+1:], job[:at+1] + job[at:], job[:at] + job[at+1:at+2] + job[at:at+1] + job[at+2:]} {
			files := workshop()
			files["procedures/guard.md"] = &fstest.MapFile{Data: []byte(slip)}
			out, err := Library(files)
			assert.NilError(t, err)
			all++
			if len(out.Files) == 0 {
				continue
			}
			put++
			if got := string(out.Files[0].Source); got != job && !out.Log.HasErrors() {
				t.Errorf("%q is made\n%s", slip[max(0, at-10):at+10], got)
			}
		}
	}
	t.Logf("%d of %d slips put right", put, all)
}

// Whatever stands in a file: it is mended in one go, and what is outside the edits stays.
func FuzzMend(f *testing.F) {
	for _, slip := range [][]string{{"::: step", "::: stpe"}, {"people=1}", "people = 1"}, {"\"", "“"}, {"time=2", "time=2,0,"}, {"remove", "remvoe"}, {"title", "Title"}, {"{", "{,"}} {
		f.Add(strings.NewReplacer(slip...).Replace(job))
		f.Add(strings.NewReplacer(slip...).Replace(machine))
	}
	f.Fuzz(func(t *testing.T, words string) {
		files := workshop()
		files["procedures/more.md"] = &fstest.MapFile{Data: []byte(words)}
		out, err := Library(files)
		if err != nil {
			t.Skip()
		}
		again, err := Library(over(files, out.Files))
		assert.NilError(t, err)
		if len(again.Files) != 0 {
			t.Errorf("%q is made %q, and then %q", words, out.Files[0].Source, again.Files[0].Source)
		}
	})
}

// The demo has nothing to mend, and a broken copy of it is mended on disk by nobody but the caller.
func TestWritesNothing(t *testing.T) {
	dir := t.TempDir()
	for path, f := range workshop("::: step", "::: stpe") {
		full := filepath.Join(dir, filepath.FromSlash(path))
		assert.NilError(t, os.MkdirAll(filepath.Dir(full), 0o755))
		assert.NilError(t, os.WriteFile(full, f.Data, 0o644))
	}
	out, err := Library(os.DirFS(dir))
	if err != nil || len(out.Files) != 1 {
		t.Fatalf("%d files, %v", len(out.Files), err)
	}
	now, err := fs.ReadFile(os.DirFS(dir), out.Files[0].Old.Name)
	if err != nil || !bytes.Equal(now, out.Files[0].Old.Source) {
		t.Error("the file on disk was changed")
	}
}
