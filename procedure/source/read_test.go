package source

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/check/examples"
	"matchmark/procedure/diagnostic"
)

const (
	machineHead   = "---\nkind: machine\nid: mixer\ntitle: Mixer\n---\n"
	procedureHead = "---\nkind: procedure\nid: job\ntitle: Job\nmachine: mixer\nedition: \"1\"\n---\n"
	quizHead      = "---\nkind: quiz\nid: check\ntitle: Check\nprocedure: job\npass: 80\n---\n"
	stepHead      = "::: step look \"Look\" {time=6}\n"
)

// readFiles reads a library from memory; nothing is resolved yet.
func readFiles(t testing.TB, files map[string]string) (*Library, *diagnostic.Log) {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	var log diagnostic.Log
	lib, err := Read(fsys, &log)
	assert.NilError(t, err)
	return lib, &log
}

// readProcedure reads one procedure file on a machine without registers.
func readProcedure(t testing.TB, src string) (*procedure.Procedure, []diagnostic.Diagnostic) {
	t.Helper()
	lib, log := readFiles(t, map[string]string{"job.md": src, "mixer.md": machineHead})
	out := lib.Resolve(log)
	if len(out.Procedures) == 0 {
		return nil, log.Sorted()
	}
	return out.Procedures[0], log.Sorted()
}

// readStep reads a step with the given content and wants no message.
func readStep(t *testing.T, body string) *procedure.Step {
	t.Helper()
	p, all := readProcedure(t, procedureHead+stepHead+body+":::\n")
	if len(all) > 0 {
		t.Fatalf("%s\nbrings\n%s", body, printed(all))
	}
	return p.Steps[0]
}

func printed(all []diagnostic.Diagnostic) string {
	var b strings.Builder
	_ = diagnostic.Printer{Excerpt: true}.Print(&b, all)
	return b.String()
}

// expect compares messages with the marked places of a file: in order, the codes
// at the marks « and », and nothing else.
func expect(t *testing.T, name string, marked [][2]int, codes []string, all []diagnostic.Diagnostic) {
	t.Helper()
	var got, want []string
	for _, d := range all {
		file := ""
		if d.Span.File != nil {
			file = d.Span.File.Name
		}
		got = append(got, fmt.Sprintf("%s %s %d-%d", d.Code, file, d.Span.Start, d.Span.End))
	}
	for i, code := range codes {
		at := [2]int{-1, -1}
		if i < len(marked) {
			at = marked[i]
		}
		want = append(want, fmt.Sprintf("%s %s %d-%d", code, name, at[0], at[1]))
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") || len(marked) != len(codes) {
		t.Errorf("got\n%s\nwant\n%s\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"), printed(all))
	}
}

// unmark takes the marks out of a source and returns the places in it.
func unmark(src string) (string, [][2]int) { return examples.Unmark(src) }
