package source

import (
	"os"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
	"gotest.tools/v3/golden"

	"matchmark/procedure/diagnostic"
)

const slipsFile = "testdata/slips.txtar"

// TestSlips holds what is said of the typical slips of somebody who comes from a word processor or a spreadsheet.
// Nothing is lost without a word: each slip is read as it was meant, or brings a message.
func TestSlips(t *testing.T) {
	src, err := os.ReadFile(slipsFile)
	assert.NilError(t, err)
	remark, rest, _ := strings.Cut(string(src), "\n-- ")
	var all strings.Builder
	all.WriteString(remark + "\n")
	count := 0
	for _, slip := range strings.Split(rest, "\n-- ") {
		name, lines, _ := strings.Cut(slip, " --\n")
		if name = strings.TrimSuffix(name, " --"); name == "says" {
			continue
		}
		count++
		body := strings.TrimSuffix(lines, "\n") + "\n"
		written := strings.Replace(body, "@\n", "## Look {#look}\n{time=6}\n\nLook.\n\n", 1)
		p, found := readProcedure(t, procedureHead+written)
		all.WriteString("-- " + name + " --\n" + body + "-- says --\n")
		said := strings.TrimSpace(brief(found))
		if strings.Contains(said, "own-fault") {
			t.Errorf("%s: %s", name, said)
		}
		if said == "" {
			acts := 0
			for _, s := range p.Steps {
				acts += len(s.Actions())
			}
			if wanted := strings.Count(body, "remove") - strings.Count(body, "{#remove"); acts < wanted {
				t.Errorf("%s: nothing is said, and %d acts are read, want at least %d", name, acts, wanted)
			}
			said = "nothing: it is read as it was meant"
		}
		all.WriteString(said + "\n")
	}
	if count < 150 {
		t.Errorf("%d slips", count)
	}
	if golden.FlagUpdate() {
		assert.NilError(t, os.WriteFile(slipsFile, []byte(all.String()), 0o644))
	} else if all.String() != string(src) {
		t.Errorf("what is said of slips has changed; read the difference and run the test with -update:\n%s", all.String())
	}
}

// brief prints messages without the lines of the source.
func brief(all []diagnostic.Diagnostic) string {
	var b strings.Builder
	_ = diagnostic.Printer{All: true}.Print(&b, all)
	return b.String()
}
