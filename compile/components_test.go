package compile

import (
	"bytes"
	"go/format"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/a-h/templ"
	"github.com/a-h/templ/generator"
	templparser "github.com/a-h/templ/parser/v2"
	"gotest.tools/v3/assert"
)

// components lists the files of components, by path below this folder.
func components(t *testing.T) []string {
	t.Helper()
	var out []string
	err := filepath.WalkDir(".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && filepath.Ext(name) == ".templ" {
			out = append(out, name)
		}
		return err
	})
	if err != nil || len(out) < 20 {
		t.Fatalf("found %d files of components: %v", len(out), err)
	}
	return out
}

// TestComponentsAreGenerated makes the Go of every file of components anew, by the version of
// templ that go.mod names, and holds it against what is there.
func TestComponentsAreGenerated(t *testing.T) {
	const how = "go generate ./compile/page"
	made := map[string]bool{}
	for _, name := range components(t) {
		file, err := templparser.Parse(name)
		assert.NilError(t, err)
		var b bytes.Buffer
		if _, err := generator.Generate(file, &b, generator.WithVersion(templ.Version()), generator.WithFileName(filepath.ToSlash(name))); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		want, err := format.Source(b.Bytes())
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		to := strings.TrimSuffix(name, ".templ") + "_templ.go"
		made[to] = true
		if got, err := os.ReadFile(to); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not what %s makes (%v): run %s", to, name, err, how)
		}
	}
	err := filepath.WalkDir(".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(name, "_templ.go") && !made[name] {
			t.Errorf("%s has no components any more: delete it", name)
		}
		return err
	})
	assert.NilError(t, err)
}

// What a component says of its own that a string is markup, styles, a script or a harmless link has to
// be looked at each time. So none does: markup comes in a view, as template.HTML, from Go that made it.
var unescaped = regexp.MustCompile(`templ\.(Raw|SafeURL|SafeCSS|SafeCSSProperty|SafeScript\w*|JSUnsafe\w*|FromGoHTML|ComponentFunc)\b|template\.(HTML|CSS|JS|JSStr|URL|Srcset)\(|<(script|style)[^>]*>[^<]`)

var pageName = regexp.MustCompile(`(?m)^templ (\w+(?:Page|Sheet|Checklist))\(`)

func TestComponentsEscape(t *testing.T) {
	pages := 0
	for _, name := range components(t) {
		source, err := os.ReadFile(name)
		assert.NilError(t, err)
		if found := unescaped.Find(source); found != nil {
			t.Errorf("%s: %q leaves escaping out", name, found)
		}
		for _, m := range pageName.FindAllSubmatch(source, -1) {
			pages++
			test, err := os.ReadFile(filepath.Join(filepath.Dir(name), "hostile_test.go"))
			if err != nil || !regexp.MustCompile(`\b`+string(m[1])+`\b`).Match(test) {
				t.Errorf("%s: no hostile string was tried on %s: %v", name, m[1], err)
			}
		}
	}
	if pages < 25 {
		t.Errorf("only %d pages were found", pages)
	}
}
