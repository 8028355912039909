package page

import (
	"cmp"
	"slices"
	"strconv"

	"matchmark/compile/picture"
	"matchmark/procedure"
)

// Gallery makes the figures of a page that shows the same figure many times, each
// time with other balloons picked out. A balloon that is not picked out is drawn where
// the page first shows it so; everywhere else the page only refers to that drawing.
type Gallery struct {
	shell    Shell
	machine  *procedure.Machine
	pictures map[string]*picture.Picture
	placed   map[*procedure.Figure]*hung
	drawings int             // balloons that the page can refer to
	signs    map[string]bool // that it can refer to
	drawing  SVG
	picked   []Balloon
}

// hung is a figure of the page with all balloons quiet, and for each what the page refers to it by;
// empty before its first drawing.
type hung struct {
	*Figure
	names []string
}

// Pick says how a balloon looks at a place where its thing is acted on. The zero value
// leaves it quiet.
type Pick struct {
	State BalloonState
	Verb  procedure.Verb
	Name  string // accessible name
	Link  string
	// Tightens is the fastener whose pieces are tightened there; nil for none.
	Tightens *procedure.Fastener
}

// NewGallery begins a page. The machine's things have the names of the balloons.
func NewGallery(s Shell, m *procedure.Machine, pictures map[string]*picture.Picture) *Gallery {
	return &Gallery{shell: s, machine: m, pictures: pictures, placed: map[*procedure.Figure]*hung{}, signs: map[string]bool{}}
}

// Show makes a figure for the next place on the page; places are made in the order in which they stand
// there. It calls pick with the name of each balloon's thing.
func (g *Gallery) Show(f *procedure.Figure, pick func(thing string) Pick) (*Figure, error) {
	placed, err := g.hang(f)
	if err != nil {
		return nil, err
	}
	g.drawing.Reset()
	g.picked = g.picked[:0]
	for i, b := range placed.Balloons {
		if p := pick(b.Thing); p.State == "" {
			g.quiet(placed, i)
		} else {
			own := *b
			own.State, own.Verb, own.Name, own.Link = p.State, p.Verb, p.Name, p.Link
			if p.Tightens != nil {
				own.Order = Places(f, p.Tightens)
			}
			g.picked = append(g.picked, own)
		}
	}
	slices.SortStableFunc(g.picked, func(a, b Balloon) int { return cmp.Compare(a.State.rank(), b.State.rank()) })
	for i := range g.picked {
		g.drawing.balloon(&g.picked[i], placed.unit(), "", g.signs)
	}
	out := *placed.Figure
	out.drawn = g.drawing.String()
	return &out, nil
}

// quiet draws a balloon that is not picked out, or refers to its drawing.
func (g *Gallery) quiet(f *hung, i int) {
	if name := f.names[i]; name != "" {
		g.drawing.Add("\n<use href=\"#", name, `" role="img" aria-labelledby="`, name, `"/>`)
		return
	}
	g.drawings++
	f.names[i] = "b_" + strconv.Itoa(g.drawings) // no name of an author has an underscore
	g.drawing.balloon(f.Balloons[i], f.unit(), f.names[i], nil)
}

// hang places a figure when the page first shows it.
func (g *Gallery) hang(f *procedure.Figure) (*hung, error) {
	if placed := g.placed[f]; placed != nil {
		return placed, nil
	}
	fig, err := NewFigure(g.shell, f, g.machine, g.pictures)
	if err != nil {
		return nil, err
	}
	for _, b := range fig.Balloons {
		b.State = Quiet
	}
	placed := &hung{Figure: fig, names: make([]string, len(fig.Balloons))}
	g.placed[f] = placed
	return placed, nil
}
