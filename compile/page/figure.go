package page

import (
	"fmt"
	"math"
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
	// Balloons are in the author's order; those that matter are drawn on top.
	Balloons []*Balloon
	// drawn is the markup of the balloons where a gallery has made it.
	drawn string
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
	// Ends are the places that its leaders end on.
	Ends []procedure.Point
}

// Sign names the verb's sign in "part/icons"; empty for none.
func (b *Balloon) Sign() string { return Sign(b.Verb) }

// Sign names a verb's sign in "part/icons".
func Sign(v procedure.Verb) string { return strings.ReplaceAll(string(v), " ", "-") }

// The box, in CSS pixels, that a figure gets on the smallest screen that pages
// are made for (a tablet held sideways, the text beside the figure). Balloons are sized so
// that they can be read and tapped there.
const (
	boxWidth  = 430
	boxHeight = 340
)

// reach is the radius of what takes a tap, in CSS pixels at that scale: 48 across.
const reach = 24

// Reach is the radius of what takes a tap, in the picture's own units.
func (f *Figure) Reach() float64 { return reach * f.unit() }

// NewFigure places a figure's balloons, all of them plain.
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
		out.Balloons = append(out.Balloons, &Balloon{
			Thing: b.Ref.ID, Text: text, Name: thing.Row.Name, State: Plain, X: b.Label.X, Y: b.Label.Y, Ends: b.Targets,
		})
	}
	return out, nil
}

// unit is how many of the picture's units one CSS pixel is in the smallest box.
func (f *Figure) unit() float64 { return math.Max(f.Width/boxWidth, f.Height/boxHeight) }

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
