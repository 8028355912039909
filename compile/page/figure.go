package page

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"matchmark/compile/picture"
	"matchmark/procedure"
)

// Figure is a picture with its balloons, ready for the template "part/figure".
type Figure struct {
	ID       string
	Title    string
	Describe string
	// Source and SourceSet are links for img; SourceSet is empty for a picture of one size.
	Source, SourceSet string
	// Width and Height are the picture's own size, in which the balloons are placed.
	Width, Height float64
	// Lazy lets the browser load the picture only when it is about to be seen.
	Lazy bool
	// Balloons are in drawing order: the ones that matter lie on top.
	Balloons []*Balloon
}

// BalloonState says how much a balloon stands out.
type BalloonState string

// The states of a balloon. They differ in shape, size and weight, not in colour alone.
const (
	Plain  BalloonState = "plain"  // no step picks anything out
	Quiet  BalloonState = "quiet"  // another step's business
	Active BalloonState = "active" // this step acts on it
	Kept   BalloonState = "kept"   // this step leaves it in on purpose
)

// Balloon is a part reference by ISO 6433, in the picture's own units.
type Balloon struct {
	Thing string // id of the fastener or part
	Text  string // what is written in it: the callout number or the part's letter
	Name  string // accessible name
	State BalloonState
	// Verb is what this step does to it; empty for nothing.
	Verb procedure.Verb
	// Link is what a tap leads to, such as the action's row; empty for nothing.
	Link string
	X, Y float64
	// R is the radius of the circle, Halo that of the second ring of an active one,
	// Hit that of the area that takes a tap, Type the letter height.
	R, Halo, Hit, Type float64
	Badge              Badge
	Leaders            []Leader
	// drawn is the balloon's markup, once the figure was copied; empty when there is
	// none or the balloon has got another state since.
	drawn string
}

// Sign names the verb's sign in "part/icons"; empty for none.
func (b *Balloon) Sign() string { return Sign(b.Verb) }

// Sign names a verb's sign in "part/icons".
func Sign(v procedure.Verb) string { return strings.ReplaceAll(string(v), " ", "-") }

// Badge is the small circle at a balloon that holds the verb's sign, and the square of the sign in it.
type Badge struct{ X, Y, R, Left, Top, Side float64 }

// Leader is the line from a balloon's edge to the place that it names, where it ends in a dot of radius Dot.
type Leader struct{ X1, Y1, X2, Y2, Dot float64 }

// The box, in CSS pixels, that a figure gets on the smallest screen that pages
// are made for (a tablet held sideways, the text beside the figure). Balloons are sized so
// that they can be read and tapped there.
const (
	boxWidth  = 430
	boxHeight = 340
)

// Sizes in CSS pixels at that scale.
const (
	quietRadius  = 12
	plainRadius  = 14
	activeRadius = 17
	haloRadius   = 21
	hitRadius    = 24 // makes 48 CSS pixels across
	badgeRadius  = 10
	dotRadius    = 3
)

// NewFigure places a figure's balloons. The balloons of the returned figure are
// in the author's order; call Arrange when their states are set.
func NewFigure(s Shell, f *procedure.Figure, m *procedure.Machine, pictures map[string]*picture.Picture) (*Figure, error) {
	pic := pictures[f.Source]
	if pic == nil || len(pic.Sizes) == 0 || pic.Width <= 0 || pic.Height <= 0 {
		return nil, fmt.Errorf("figure %s: the picture %s was not prepared", f.ID, f.Source)
	}
	out := &Figure{
		ID: f.ID, Title: f.Title, Describe: f.Describe,
		Width: pic.Width, Height: pic.Height,
		Source: s.Link(pic.Sizes[len(pic.Sizes)-1].Path),
	}
	if len(pic.Sizes) > 1 {
		var set []string
		for _, size := range pic.Sizes {
			set = append(set, fmt.Sprintf("%s %dw", s.Link(size.Path), size.Width))
		}
		out.SourceSet = strings.Join(set, ", ")
	}
	for _, b := range f.Balloons {
		thing := m.Thing(b.Ref.ID)
		if thing == nil {
			continue // an unknown name is the checks' business
		}
		text := thing.Row.ID
		if thing.Part != nil && thing.Part.Letter != "" {
			text = thing.Part.Letter
		}
		out.Balloons = append(out.Balloons, out.balloon(b, text, thing.Row.Name))
	}
	return out, nil
}

// Copy returns the figure for another place on the page. It has the same balloons,
// and what they look like is worked out once for all copies: a balloon that is to
// look different there is first made the copy's own, with Own.
func (f *Figure) Copy() *Figure {
	for _, b := range f.Balloons {
		if b.drawn == "" {
			var d SVG
			d.balloon(b)
			b.drawn = d.String()
		}
	}
	out := *f
	out.Balloons = slices.Clone(f.Balloons)
	return &out
}

// Own makes a copy's i-th balloon its own and gives it a state.
func (f *Figure) Own(i int, state BalloonState, verb procedure.Verb) *Balloon {
	b := *f.Balloons[i]
	f.Balloons[i] = &b
	f.Set(&b, state, verb)
	return &b
}

// unit is how many of the picture's units one CSS pixel is in the smallest box.
func (f *Figure) unit() float64 { return math.Max(f.Width/boxWidth, f.Height/boxHeight) }

func (f *Figure) balloon(b procedure.Balloon, text, name string) *Balloon {
	out := &Balloon{Thing: b.Ref.ID, Text: text, Name: name, X: b.Label.X, Y: b.Label.Y}
	for _, t := range b.Targets {
		out.Leaders = append(out.Leaders, Leader{X2: t.X, Y2: t.Y})
	}
	f.Set(out, Plain, "")
	return out
}

// Set gives a balloon its state, and with it its size.
func (f *Figure) Set(b *Balloon, state BalloonState, verb procedure.Verb) {
	b.State, b.Verb, b.drawn = state, verb, ""
	b.Leaders = slices.Clone(b.Leaders) // a copy's are those of the original
	radius := float64(plainRadius)
	switch state {
	case Quiet:
		radius = quietRadius
	case Active, Kept:
		radius = activeRadius
	}
	u := f.unit()
	b.R, b.Halo, b.Hit, b.Type = round(radius*u), round(haloRadius*u), round(hitRadius*u), round(radius*1.15*u)
	if len(b.Text) > 2 {
		b.Type = round(radius * 0.85 * u)
	}
	b.Badge = badge(b.X+haloRadius*0.8*u, b.Y+haloRadius*0.8*u, badgeRadius*u)
	edge := b.R
	if state == Active {
		edge = b.Halo
	}
	for i, l := range b.Leaders {
		dx, dy := l.X2-b.X, l.Y2-b.Y
		length := math.Hypot(dx, dy)
		l.X1, l.Y1, l.Dot = b.X, b.Y, round(dotRadius*u)
		if length > edge {
			l.X1, l.Y1 = round(b.X+dx/length*edge), round(b.Y+dy/length*edge)
		}
		b.Leaders[i] = l
	}
}

func badge(x, y, r float64) Badge {
	half := r * 0.72
	return Badge{X: round(x), Y: round(y), R: round(r), Left: round(x - half), Top: round(y - half), Side: round(2 * half)}
}

// Arrange puts the balloons into drawing order: quiet ones first.
func (f *Figure) Arrange() {
	slices.SortStableFunc(f.Balloons, func(a, b *Balloon) int { return cmp.Compare(a.State.rank(), b.State.rank()) })
}

// rank says which balloons lie on which.
func (s BalloonState) rank() int {
	switch s {
	case Active:
		return 3
	case Kept:
		return 2
	case Plain:
		return 1
	}
	return 0
}

// round keeps a tenth of a unit, so that pages do not depend on the last bits of a sum.
func round(x float64) float64 { return math.Round(x*10) / 10 }
