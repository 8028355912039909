package main

import (
	"os"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"gotest.tools/v3/assert"
)

// A stranger's job of 20 steps out and 22 back, written in the forms of today, costs half of what such a job cost when it was
// written with fences and wide tables: 150 fences in a procedure of 286 lines, 522 lines in all; 171 of 740 cells were empty,
// tables had 37 % of all characters and lines of up to 177.
func TestAStrangersJobIsHalfTheWriting(t *testing.T) {
	const library = "../../testdata/stranger"
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	read := func(name string) string {
		src, err := os.ReadFile(library + "/" + name)
		assert.NilError(t, err)
		return string(src)
	}
	machine, out, back := read("screw-drive.md"), read("screw-drive-out.md"), read("screw-drive-back.md")

	said, code := runTyped(t, []string{"check", library})
	if code != exitFine || regexp.MustCompile(`(?m): (error|warning) `).MatchString(said) {
		t.Errorf("check ends with %d:\n%s", code, said)
	}
	derived, _ := runTyped(t, []string{"refitting", library, "--procedure", "screw-drive-out"})
	if steps := strings.Count(out, "\n## "); steps != 20 {
		t.Errorf("the job has %d steps out", steps)
	}
	if steps := strings.Count("\n"+derived, "\n## ") + strings.Count(back, "\n## "); steps != 22 {
		t.Errorf("the job has %d steps back", steps)
	}

	lines, fences, cells, empty, tables, widest := 0, 0, 0, 0, 0, 0
	for line := range strings.Lines(machine + out + back) {
		line = strings.TrimRight(line, "\n")
		lines++
		if strings.HasPrefix(line, "|") {
			tables += utf8.RuneCountInString(line) + 1
			widest = max(widest, utf8.RuneCountInString(line))
			for cell := range strings.SplitSeq(strings.Trim(line, "|"), "|") {
				if cells++; strings.TrimSpace(cell) == "" {
					empty++
				}
			}
		}
	}
	for line := range strings.Lines(out + back) {
		if strings.HasPrefix(line, ":::") {
			fences++
		}
	}
	all := utf8.RuneCountInString(machine + out + back)
	t.Logf("%d lines; %d fences in the procedure and what is added back; %d of %d cells empty; tables %d of %d characters, widest line %d", lines, fences, empty, cells, tables, all, widest)
	if fences > 150/2 || empty > 171/2 || empty*740 > cells*171/2 || widest > 177/2 {
		t.Error("that is more than half")
	}
}
