package compile

import (
	"context"
	"errors"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"matchmark/procedure/check/examples"
	"matchmark/procedure/diagnostic"
)

// breaking is a library with a picture that breaks whoever looks at it.
type breaking struct{ fs.FS }

func (b breaking) Open(name string) (fs.File, error) {
	if name == "figures/breaks.svg" {
		panic("the picture breaks the program")
	}
	return b.FS.Open(name)
}

// A fault of matchmark's own is a message among the others, in the whole library and unit by unit.
func TestOwnFaultHidesNothing(t *testing.T) {
	files, err := examples.Compose(
		examples.Part{Place: "machine", Text: "::: figure side \"The drive\" {src=figures/breaks.svg}\n:::\n"},
		examples.Part{Place: "step", Text: "::: fasteners {figure=side}\n- loosen 1\n:::\n::: actions\n- clean gearbx\n:::\n"},
	)
	if err != nil {
		t.Fatal(err)
	}
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	want := "error own-fault (own), error undefined-reference"
	var whole, units diagnostic.Log
	if _, err := checkWhole(breaking{fsys}, &whole); err != nil {
		t.Fatal(err)
	}
	if got := errorCodes(whole.Sorted()); got != want {
		t.Errorf("the whole library: %s, want %s", got, want)
	}
	if _, err := Site(context.Background(), breaking{fsys}, filepath.Join(t.TempDir(), "site"), &units, Options{}); !errors.Is(err, ErrDiagnostics) {
		t.Errorf("the compile ends with %v", err)
	}
	if got := errorCodes(units.Sorted()); got != want {
		t.Errorf("unit by unit: %s, want %s", got, want)
	}
}

func errorCodes(all []diagnostic.Diagnostic) string {
	var out []string
	for _, d := range all {
		switch {
		case d.Severity != diagnostic.Error:
		case d.Fault != nil:
			out = append(out, "error "+string(d.Code)+" (own)")
		default:
			out = append(out, "error "+string(d.Code))
		}
	}
	return strings.Join(out, ", ")
}
