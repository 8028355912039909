package order

import (
	"os"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/source"
	"matchmark/procedure/state"
)

// demo reads the demo library.
func demo(t testing.TB) *procedure.Library {
	t.Helper()
	log := &diagnostic.Log{}
	read, err := source.Read(os.DirFS("../../../content"), log)
	assert.NilError(t, err)
	lib := read.Resolve(log)
	if log.HasErrors() {
		t.Fatalf("the demo does not read: %v", log.Sorted())
	}
	return lib
}

// TestDemo finds nothing in the demo library but advice, there and back.
func TestDemo(t *testing.T) {
	log := &diagnostic.Log{}
	for _, p := range demo(t).Procedures {
		Run(p, refit.Additions{}, log)
	}
	var b strings.Builder
	for _, d := range log.Sorted() {
		if d.Severity > diagnostic.Advice {
			assert.NilError(t, (diagnostic.Printer{}).Print(&b, []diagnostic.Diagnostic{d}))
		}
	}
	if b.Len() > 0 {
		t.Error(b.String())
	}
}

// TestDemoReturns carries each machine of the demo out and back, to where it was.
func TestDemoReturns(t *testing.T) {
	for _, p := range demo(t).Procedures {
		for _, job := range p.Jobs() {
			out := state.Run(job)
			if len(state.Differences(out.Start, out.End())) == 0 {
				t.Errorf("%s takes nothing apart", p.ID)
			}
			back := out.Then(refit.Run(out, refit.Additions{}, func(key string, _ ...any) string { return key }).Job)
			for _, d := range state.Differences(out.Start, back.End()) {
				t.Errorf("%s: %s was %s and is %s", p.ID, d.Row.ID, d.Was, d.Is)
			}
		}
	}
}
