package page

import (
	"math"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/compile/picture"
	"matchmark/procedure"
)

// feet is a figure with a bolt and a gearbox, and what it is made from.
func feet(width, height float64) (*procedure.Figure, *procedure.Machine, map[string]*picture.Picture) {
	m := &procedure.Machine{
		Fasteners: []*procedure.Fastener{{Row: procedure.Row{ID: "4", Name: "Bolt"}, Number: 4}},
		Parts:     []*procedure.Part{{Row: procedure.Row{ID: "gearbox", Name: "Gearbox"}, Letter: "G"}},
	}
	m.Index()
	f := &procedure.Figure{ID: "feet", Source: "feet.jpg", Balloons: []procedure.Balloon{
		{Ref: procedure.Ref{ID: "4"}, Label: procedure.Point{X: 100, Y: 200}, Targets: []procedure.Point{{X: 400, Y: 200}, {X: 101, Y: 200}}},
		{Ref: procedure.Ref{ID: "gearbox"}, Label: procedure.Point{X: 10, Y: 10}},
	}}
	return f, m, map[string]*picture.Picture{"feet.jpg": {Width: width, Height: height, Sizes: []picture.Size{{Path: "pictures/a-400.jpg", Width: 400}, {Path: "pictures/a-800.jpg", Width: 800}}}}
}

func figure(t *testing.T, width, height float64) *Figure {
	t.Helper()
	f, m, pictures := feet(width, height)
	fig, err := NewFigure(Shell{Root: "../"}, f, m, pictures)
	assert.NilError(t, err)
	return fig
}

// drawn parses the drawing of a figure's balloons.
func drawn(t *testing.T, f *Figure) *pagetest.Element {
	t.Helper()
	svg := pagetest.Parse(t, []byte("<svg>"+string(f.Drawing())+"</svg>"))
	return svg
}

// looks lists what a drawing has at its top: the class of a balloon, or what is referred to.
func looks(svg *pagetest.Element) string {
	var out []string
	for _, e := range append(svg.All(".balloon"), svg.All("use[role=img]")...) {
		if e.Tag == "use" {
			out = append(out, e.Attributes["href"])
		} else {
			out = append(out, strings.TrimSpace(e.Attributes["class"]+" "+e.Attributes["id"])+" "+e.Attributes["aria-label"])
		}
	}
	return strings.Join(out, ", ")
}

func TestFigure(t *testing.T) {
	f := figure(t, 940, 600)
	if f.Source != "../pictures/a-800.jpg" || f.SourceSet != "../pictures/a-400.jpg 400w, ../pictures/a-800.jpg 800w" {
		t.Errorf("picture %s, %s", f.Source, f.SourceSet)
	}
	if got, want := looks(drawn(t, f)), "balloon plain 4: Bolt, balloon plain G: Gearbox"; got != want {
		t.Errorf("drawn %s, want %s", got, want)
	}
	f.Balloons[0].State = Active
	svg := drawn(t, f)
	if got, want := looks(svg), "balloon plain G: Gearbox, balloon active 4: Bolt"; got != want {
		t.Errorf("drawn %s, want %s: the active one on top", got, want)
	}
	// A leader begins at the outer ring, 21 CSS pixels of 940/430 units each, and ends on the bolt; one
	// that is shorter than the ring begins in the middle.
	if got, want := svg.All("path")[0].Attributes["d"], "M145.9 200L400 200M100 200L101 200"; got != want {
		t.Errorf("leaders %s, want %s", got, want)
	}
}

// A page that shows a figure again refers to what it has drawn of it, but for what is picked out there.
func TestGallery(t *testing.T) {
	f, m, pictures := feet(940, 600)
	g := NewGallery(Shell{Root: "../"}, m, pictures)
	for i, place := range []struct{ picked, want string }{
		{"4", "balloon quiet b_1 G: Gearbox, balloon active 4: Take it out"},
		{"gearbox", "balloon quiet b_2 4: Bolt, balloon active G: Take it out"},
		{"", "#b_2, #b_1"},
		{"4", "balloon active 4: Take it out, #b_1"},
	} {
		fig, err := g.Show(f, func(thing string) Pick {
			if thing != place.picked {
				return Pick{}
			}
			return Pick{State: Active, Verb: procedure.Remove, Name: "Take it out", Link: "#row"}
		})
		assert.NilError(t, err)
		svg := drawn(t, fig)
		if got := looks(svg); got != place.want {
			t.Errorf("place %d: drawn %s, want %s", i+1, got, place.want)
		}
		for _, use := range svg.All("use[role=img]") {
			if "#"+use.Attributes["aria-labelledby"] != use.Attributes["href"] {
				t.Errorf("place %d: what is drawn again is named by %s", i+1, use.Attributes["aria-labelledby"])
			}
		}
		// The sign of a verb is drawn once in the page.
		if first, again := len(svg.All("#s_remove")), len(svg.All("use[href=#s_remove]")); place.picked != "" && (first+again != 1 || (first == 1) != (i == 0)) {
			t.Errorf("place %d: %d signs drawn, %d referred to", i+1, first, again)
		}
	}
}

// What takes a tap is 48 CSS pixels across on a tablet held sideways, whatever
// the picture's own units, and an active balloon is larger than a quiet one.
func TestBalloonsCanBeTapped(t *testing.T) {
	for _, size := range [][2]float64{{940, 600}, {4000, 3000}, {120, 90}, {300, 3000}} {
		f := figure(t, size[0], size[1])
		scale := math.Min(430/size[0], 340/size[1]) // CSS pixels per unit
		if across := 2 * f.Reach() * scale; across < 47.5 || across > 49 {
			t.Errorf("picture %v: the tap area is %.1f pixels across, want 48", size, across)
		}
	}
	if quiet, active := Quiet.radius(), Active.radius(); active < quiet*1.3 {
		t.Errorf("an active balloon has radius %v, a quiet one %v", active, quiet)
	}
}

// Every thing that can be seen has its balloon: with its number or letters, else with the initials of its name. Several on
// one leader stand in a row, away from the picture's edge.
func TestBalloonsOfAllThings(t *testing.T) {
	m := &procedure.Machine{
		Fasteners:   []*procedure.Fastener{{Row: procedure.Row{ID: "8", Name: "Bolt"}}, {Row: procedure.Row{ID: "9", Name: "Nut"}}},
		Parts:       []*procedure.Part{{Row: procedure.Row{ID: "hood", Name: "Hood"}}, {Row: procedure.Row{ID: "frame", Name: "Frame"}, Letter: "F"}},
		Connections: []*procedure.Connection{{Row: procedure.Row{ID: "belt", Name: "Drive belt, left"}}},
		Fluids:      []*procedure.Fluid{{Row: procedure.Row{ID: "oil", Name: "Öl"}, Letter: "X"}},
		Supports:    []*procedure.Support{{Row: procedure.Row{ID: "sling", Name: "2-leg sling"}}},
		Tools:       []*procedure.Tool{{Row: procedure.Row{ID: "tag", Name: "tag"}}},
	}
	m.Index()
	f := &procedure.Figure{ID: "f", Source: "a.svg"}
	for _, id := range []string{"hood", "frame", "belt", "oil", "sling", "tag"} {
		f.Balloons = append(f.Balloons, procedure.Balloon{Ref: procedure.Ref{ID: id}, Label: procedure.Point{X: 100, Y: 100}})
	}
	for _, x := range []float64{100, 700} {
		f.Balloons = append(f.Balloons, procedure.Balloon{Ref: procedure.Ref{ID: "8"}, Label: procedure.Point{X: x, Y: 50}},
			procedure.Balloon{Ref: procedure.Ref{ID: "9"}, Label: procedure.Point{X: x, Y: 50}, Beside: 1, Targets: nil})
	}
	fig, err := NewFigure(Shell{}, f, m, map[string]*picture.Picture{"a.svg": {Width: 800, Height: 600, Sizes: []picture.Size{{Path: "a.svg", Width: 800}}}})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, b := range fig.Balloons {
		got = append(got, b.Text)
	}
	if want := "hood F DB X 2L T 8 9 8 9"; strings.Join(got, " ") != want {
		t.Errorf("%q, want %q", got, want)
	}
	apart := 2 * Active.radius() * fig.unit()
	if right, left := fig.Balloons[7].X-fig.Balloons[6].X, fig.Balloons[9].X-fig.Balloons[8].X; math.Abs(right-apart) > 1e-9 || math.Abs(left+apart) > 1e-9 {
		t.Errorf("the balloons in a row are %v and %v apart, want %v", right, left, apart)
	}
}
