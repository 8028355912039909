package page

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/themes"
)

func TestRoot(t *testing.T) {
	for at, want := range map[string]string{"index.html": "", "machine/mixer.html": "../", "procedure/out/steps-belt.html": "../../"} {
		if got := Root(at); got != want {
			t.Errorf("%s: root %q, want %q", at, got, want)
		}
	}
}

func TestPathsOfJobs(t *testing.T) {
	p := &procedure.Procedure{ID: "out"}
	plain := &procedure.Job{Procedure: p}
	belt := &procedure.Job{Procedure: p, Variant: &procedure.Variant{Row: procedure.Row{ID: "belt"}}}
	for got, want := range map[string]string{
		StepsPath(plain):    "procedure/out/steps.html",
		StepsPath(belt):     "procedure/out/steps-belt.html",
		ChecklistPath(belt): "procedure/out/checklist-belt.html",
		ToolsPath(plain):    "procedure/out/tools.html",
		LabelsPath(belt):    "procedure/out/labels-belt.html",
		TorquePath(belt):    "procedure/out/torque-belt.html",
		LiftPath(plain):     "procedure/out/lift.html",
		ProcedurePath(p):    "procedure/out/index.html",
	} {
		if got != want {
			t.Errorf("path %s, want %s", got, want)
		}
	}
}

func TestHeadingKeepsToTheRoom(t *testing.T) {
	long := strings.Repeat("ü", 66)
	for _, c := range []struct{ title, want string }{
		{"Mixer", "Mixer · Shop"},
		{"Shop", "Shop"},
		{long, long},
	} {
		if got := (Shell{Title: c.title, Site: "Shop"}).Heading(); got != c.want {
			t.Errorf("heading %q, want %q", got, c.want)
		}
	}
}

func TestWordsForScripts(t *testing.T) {
	theme, err := themes.Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, lang := range theme.Languages() {
		words, err := theme.Words(lang)
		if err != nil {
			t.Fatal(err)
		}
		script, err := WordsScript(words)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(string(script), "window.matchmarkWords = {") {
			t.Errorf("%s: the script sets no global: %.40s", lang, script)
		}
		for name, key := range map[string]string{"sort": "hint", "search": "none", "step": "next"} {
			if say, err := json.Marshal(words.T(name + ".script." + key)); err != nil || !strings.Contains(string(script), `"`+key+`":`+string(say)) {
				t.Errorf("%s: the words of %s are missing", lang, name)
			}
		}
	}
}

func TestInlineHoldsNoBlocks(t *testing.T) {
	for _, c := range []struct{ markup, plain, want string }{
		{"<p>One <em>word</em>.</p>\n", "One word.", "One <em>word</em>."},
		{"bare <em>words</em>", "bare words", "bare <em>words</em>"},
		{"<p>a</p>\n<p>b &lt; c</p>\n", "a b < c", "a b &lt; c"},
		{"<ul><li>a</li></ul>", "a", "a"},
		{"<p>a <a href=\"#x\">pre</a></p>", "a pre", "a <a href=\"#x\">pre</a>"},
	} {
		p := procedure.Prose{Markup: c.markup, Paragraphs: []procedure.Paragraph{{Text: c.plain}}}
		if got := string(Inline(p)); got != c.want {
			t.Errorf("%q becomes %q, want %q", c.markup, got, c.want)
		}
	}
}

func figure(t *testing.T, width, height float64) *Figure {
	t.Helper()
	m := &procedure.Machine{
		Fasteners: []*procedure.Fastener{{Row: procedure.Row{ID: "4", Name: "Bolt"}, Number: 4}},
		Parts:     []*procedure.Part{{Row: procedure.Row{ID: "gearbox", Name: "Gearbox"}, Letter: "G"}},
	}
	m.Index()
	f := &procedure.Figure{ID: "feet", Source: "feet.jpg", Balloons: []procedure.Balloon{
		{Ref: procedure.Ref{ID: "4"}, Label: procedure.Point{X: 100, Y: 200}, Targets: []procedure.Point{{X: 400, Y: 200}, {X: 101, Y: 200}}},
		{Ref: procedure.Ref{ID: "gearbox"}, Label: procedure.Point{X: 10, Y: 10}},
	}}
	pictures := map[string]*picture.Picture{"feet.jpg": {Width: width, Height: height, Sizes: []picture.Size{{Path: "pictures/a-400.jpg", Width: 400}, {Path: "pictures/a-800.jpg", Width: 800}}}}
	fig, err := NewFigure(Shell{Root: "../"}, f, m, pictures)
	if err != nil {
		t.Fatal(err)
	}
	return fig
}

func TestFigure(t *testing.T) {
	f := figure(t, 940, 600)
	if f.Source != "../pictures/a-800.jpg" || f.SourceSet != "../pictures/a-400.jpg 400w, ../pictures/a-800.jpg 800w" {
		t.Errorf("picture %s, %s", f.Source, f.SourceSet)
	}
	bolt, part := f.Balloons[0], f.Balloons[1]
	if bolt.Text != "4" || part.Text != "G" {
		t.Errorf("balloons read %s and %s", bolt.Text, part.Text)
	}
	f.Set(bolt, Active, procedure.Remove)
	// The leader begins at the outer ring and ends on the bolt; one that is shorter than the ring begins in the middle.
	if l := bolt.Leaders[0]; l.X1 != bolt.X+bolt.Halo || l.Y1 != 200 || l.X2 != 400 {
		t.Errorf("leader %+v of a balloon with ring %v", l, bolt.Halo)
	}
	if l := bolt.Leaders[1]; l.X1 != bolt.X {
		t.Errorf("short leader %+v", l)
	}
	f.Arrange()
	if f.Balloons[1] != bolt {
		t.Error("the active balloon does not lie on top")
	}
}

// A copy looks like a figure that was placed anew, and what becomes of it does not touch the original.
func TestCopiedFigure(t *testing.T) {
	placed, original := figure(t, 940, 600), figure(t, 940, 600)
	copied := original.Copy()
	for range 2 {
		if got, want := copied.Drawing(), placed.Drawing(); got != want {
			t.Errorf("copied:\n%s\nplaced anew:\n%s", got, want)
		}
		for _, f := range []*Figure{placed, copied} {
			b := f.Own(0, Active, procedure.Remove)
			b.Name, b.Link = "Take it out", "#row"
			f.Arrange()
		}
	}
	if got, want := original.Copy().Drawing(), figure(t, 940, 600).Drawing(); got != want {
		t.Errorf("the original became\n%s\nit was\n%s", got, want)
	}
}

// What takes a tap is 48 CSS pixels across on a tablet held sideways, whatever
// the picture's own units, and an active balloon is larger than a quiet one.
func TestBalloonsCanBeTapped(t *testing.T) {
	for _, size := range [][2]float64{{940, 600}, {4000, 3000}, {120, 90}, {300, 3000}} {
		f := figure(t, size[0], size[1])
		b := f.Balloons[0]
		scale := math.Min(boxWidth/size[0], boxHeight/size[1]) // CSS pixels per unit
		if across := 2 * b.Hit * scale; across < 47.5 || across > 49 {
			t.Errorf("picture %v: the tap area is %.1f pixels across, want 48", size, across)
		}
		f.Set(b, Quiet, "")
		quiet := b.R
		f.Set(b, Active, procedure.Remove)
		if b.R < quiet*1.3 {
			t.Errorf("an active balloon has radius %v, a quiet one %v", b.R, quiet)
		}
	}
}
