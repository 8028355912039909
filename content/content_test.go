package content_test

import (
	"encoding/xml"
	"errors"
	"io"
	"io/fs"
	"math"
	"os"
	"path"
	"slices"
	"strings"
	"sync"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile"
	"matchmark/content"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

// load reads the demo library as the command does. People see it first, so
// nothing above advice is let through.
func load(t *testing.T) *procedure.Library {
	t.Helper()
	lib, err := loaded()
	assert.NilError(t, err)
	var faults []diagnostic.Diagnostic
	for _, d := range demoLog.Sorted() {
		if d.Severity != diagnostic.Advice {
			faults = append(faults, d)
		}
	}
	if len(faults) > 0 {
		var b strings.Builder
		assert.NilError(t, (diagnostic.Printer{}).Print(&b, faults))
		t.Fatalf("the demo library has faults:\n%s", &b)
	}
	return lib
}

// demoLog has what reading and checking the demo said.
var demoLog diagnostic.Log

// loaded reads the demo once; no test changes it.
var loaded = sync.OnceValues(func() (*procedure.Library, error) { return compile.Load(content.Library(), &demoLog) })

// TestEveryQuestionKindIsShown: the demo is where an author sees what each kind looks like.
func TestEveryQuestionKindIsShown(t *testing.T) {
	lib := load(t)
	whole := 0
	for _, q := range lib.Quizzes {
		seen := map[procedure.QuestionKind]bool{}
		for _, x := range q.Questions {
			seen[x.Kind] = true
			for _, c := range x.Choices {
				if x.Kind != procedure.OrderAnswer && c.Feedback.Empty() {
					t.Errorf("%s, %s: the choice %q says nothing back", q.ID, x.ID, c.Prose.Plain())
				}
			}
		}
		if len(seen) == len(procedure.QuestionKinds) {
			whole++
		}
	}
	if whole < 2 {
		t.Errorf("%d quizzes show all kinds of question, want 2 or more", whole)
	}
}

// TestDrawings: plain shapes only, so that the cleaning of drawings has nothing to take away.
func TestDrawings(t *testing.T) {
	allowed := map[string][]string{
		"svg":     {"xmlns", "viewBox", "width", "height"},
		"g":       {"fill", "stroke", "stroke-width", "stroke-linejoin", "stroke-linecap"},
		"path":    {"d", "fill", "stroke", "stroke-width", "stroke-dasharray"},
		"rect":    {"x", "y", "width", "height", "rx", "fill", "stroke", "stroke-width"},
		"circle":  {"cx", "cy", "r", "fill", "stroke", "stroke-width"},
		"ellipse": {"cx", "cy", "rx", "ry", "fill", "stroke", "stroke-width"},
	}
	for _, name := range drawings(t) {
		data, err := fs.ReadFile(content.Library(), name)
		assert.NilError(t, err)
		if len(data) >= 25_000 {
			t.Errorf("%s has %d bytes; a line drawing needs fewer than 25000", name, len(data))
		}
		d := xml.NewDecoder(strings.NewReader(string(data)))
		for {
			token, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			start, ok := token.(xml.StartElement)
			if !ok {
				continue
			}
			attributes, known := allowed[start.Name.Local]
			if !known {
				t.Errorf("%s has the element %q", name, start.Name.Local)
			}
			for _, a := range start.Attr {
				if known && !slices.Contains(attributes, a.Name.Local) {
					t.Errorf("%s: %s has the attribute %q", name, start.Name.Local, a.Name.Local)
				}
			}
		}
	}
}

// TestNoDrawingIsLeftOver: a drawing that nothing shows is dead weight.
func TestNoDrawingIsLeftOver(t *testing.T) {
	shown := map[string]bool{}
	for _, f := range figures(load(t)) {
		shown[f.Source] = true
	}
	for _, name := range drawings(t) {
		if !shown[name] {
			t.Errorf("no figure shows %s", name)
		}
	}
}

// TestBalloonsAreClear: balloons lie apart and inside the picture, also when they
// are drawn large, and no two leaders cross.
//
// Source: ISO 6433 has part references apart from the outlines and leaders that do
// not cross (from memory); the distances are ours.
func TestBalloonsAreClear(t *testing.T) {
	const letter, number = 18.0, 32.0 // radii in picture units
	radius := func(b procedure.Balloon) float64 {
		if strings.Trim(b.Ref.ID, "0123456789") == "" {
			return number
		}
		return letter
	}
	for _, f := range figures(load(t)) {
		for i, b := range f.Balloons {
			r := radius(b)
			if b.Label.X < r || b.Label.Y < r || b.Label.X > f.Width-r || b.Label.Y > f.Height-r {
				t.Errorf("%s: balloon %s leaves the picture", f.ID, b.Ref.ID)
			}
			for _, c := range f.Balloons[:i] {
				if math.Hypot(b.Label.X-c.Label.X, b.Label.Y-c.Label.Y) < r+radius(c) {
					t.Errorf("%s: balloons %s and %s touch", f.ID, b.Ref.ID, c.Ref.ID)
				}
				for _, p := range b.Targets {
					for _, q := range c.Targets {
						if cross(p, b.Label, q, c.Label) {
							t.Errorf("%s: the leaders of %s and %s cross", f.ID, b.Ref.ID, c.Ref.ID)
						}
					}
				}
			}
		}
	}
}

// cross reports whether the line from a to b and the line from c to d cross.
func cross(a, b, c, d procedure.Point) bool {
	side := func(p, q, r procedure.Point) float64 { return (q.X-p.X)*(r.Y-p.Y) - (q.Y-p.Y)*(r.X-p.X) }
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}

func drawings(t *testing.T) []string {
	t.Helper()
	names, err := fs.Glob(content.Library(), path.Join("figures", "*"))
	if err != nil || len(names) == 0 {
		t.Fatalf("drawings: %d found, %v", len(names), err)
	}
	return names
}

func figures(lib *procedure.Library) []*procedure.Figure {
	var out []*procedure.Figure
	for _, m := range lib.Machines {
		out = append(out, m.Figures...)
	}
	for _, p := range lib.Procedures {
		out = append(out, p.Figures...)
		for _, s := range p.Steps {
			for _, b := range s.Blocks {
				if i, ok := b.(*procedure.Illustration); ok {
					if f := p.Figure(i.Figure.ID); f != nil {
						out = append(out, f)
					}
				}
			}
		}
	}
	return out
}

// What the folder holds of the demo is in the command too: a file beside the folders would be forgotten without a word.
func TestNothingOfTheDemoIsLeftOut(t *testing.T) {
	entries, err := os.ReadDir(".")
	assert.NilError(t, err)
	for _, e := range entries {
		if _, err := fs.Stat(content.Library(), e.Name()); err != nil && e.Name() != "records" && path.Ext(e.Name()) != ".go" {
			t.Errorf("%s is not embedded", e.Name())
		}
	}
}
