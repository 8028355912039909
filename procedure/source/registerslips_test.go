package source

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
	"gotest.tools/v3/golden"

	"matchmark/procedure"
)

// What people type who come from a word processor or a spreadsheet: for each slip, what is read, or the message. Where
// the meaning is sure, it is just read.
func TestRegisterSlips(t *testing.T) {
	const name = "testdata/registerslips.txt"
	src, err := os.ReadFile(name)
	assert.NilError(t, err)
	var out strings.Builder
	slips, read := 0, 0
	for slip := range strings.SplitSeq(strings.TrimPrefix(string(src), "=== "), "\n=== ") {
		title, rest, _ := strings.Cut(slip, "\n")
		kind, rest, _ := strings.Cut(rest, "\n")
		body, _, _ := strings.Cut(rest+"\n", "\n---\n")
		said, fine := whatIsSaid(t, procedure.RegisterKind(kind), body)
		slips++
		if fine {
			read++
		}
		fmt.Fprintf(&out, "=== %s\n%s\n%s\n---\n%s", title, kind, body, said)
	}
	t.Logf("%d slips, of which %d are just read", slips, read)
	if slips < 100 || read < slips*2/5 {
		t.Errorf("%d slips, of which %d are read", slips, read)
	}
	if golden.FlagUpdate() {
		assert.NilError(t, os.WriteFile(name, []byte(out.String()), 0o666))
	} else if out.String() != string(src) {
		t.Errorf("other things are said now; look at the difference after -update:\n%s", out.String())
	}
}

// whatIsSaid is what comes of a register: its rows, or the messages. Every slip brings one or the other.
func whatIsSaid(t *testing.T, kind procedure.RegisterKind, body string) (said string, fine bool) {
	t.Helper()
	lib, log := readFiles(t, map[string]string{"a.md": machineHead + "::: register " + string(kind) + "\n" + body + "\n:::\n"})
	var b strings.Builder
	for _, d := range log.Sorted() {
		if d.Advice.Empty() {
			t.Errorf("%s: a message without advice: %s", body, d.Says())
		}
		fmt.Fprintf(&b, "%q: %s\n  do: %s\n", d.Span.Text(), d.Says(), d.Advice)
	}
	if b.Len() > 0 {
		return b.String(), false
	}
	form := registerForm(kind)
	for _, row := range typedRows(lib.Machines[0], form) {
		var words []string
		for i, c := range form.Columns {
			if row[i] != "" {
				words = append(words, c.Name+" "+row[i])
			}
		}
		fmt.Fprintf(&b, "read: %s\n", strings.Join(words, "; "))
	}
	if b.Len() == 0 {
		t.Errorf("%s is lost without a word", body)
	}
	return b.String(), true
}
