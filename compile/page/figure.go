package page

import (
	"fmt"
	"strings"
	"unicode"

	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/balloon"
	"matchmark/procedure/fastening"
)

// Figure is a picture with its balloons, ready for Drawn.
type Figure struct {
	ID       string
	Title    string
	Describe string
	// Source and SourceSet are links for img; SourceSet is empty for a picture of one size.
	Source, SourceSet string
	// Width and Height are the picture's own size, in which the balloons are placed.
	Width, Height float64
	// Balloons are in the author's order; those that matter are drawn on top.
	Balloons []*Balloon
	// drawn is the markup of the balloons where a gallery has made it.
	drawn string
}

// Places returns the number in the order of tightening of each place where a figure shows a piece of the fastener; nil
// where the figure does not show all of them, or the row has no pattern.
func Places(f *procedure.Figure, x *procedure.Fastener) map[procedure.Point]int {
	if x.Pattern == "" || x.Count < 2 {
		return nil
	}
	var at []procedure.Point
	for _, b := range f.Balloons {
		if b.Ref.ID == x.ID {
			at = append(at, b.Targets...)
		}
	}
	out := map[procedure.Point]int{}
	for i, number := range fastening.Order(x.Pattern, at) {
		out[at[i]] = number
	}
	if len(at) != x.Count || len(out) != x.Count {
		return nil
	}
	return out
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
	// Order numbers the ends in the order in which the pieces there are tightened; nil for no order.
	Order map[procedure.Point]int
}

// Sign names the verb's sign in "part/icons"; empty for none.
func (b *Balloon) Sign() string { return Sign(b.Verb) }

// Sign names a verb's sign in "part/icons".
func Sign(v procedure.Verb) string { return strings.ReplaceAll(string(v), " ", "-") }

// reach is the radius of what takes a tap, in CSS pixels in the smallest box: 48 across.
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
	for _, b := range balloon.Place(f.Balloons, pic.Width, pic.Height) {
		thing := m.Thing(b.Ref.ID)
		if thing == nil {
			continue // an unknown name is the checks' business
		}
		placed := &Balloon{
			Thing: b.Ref.ID, Text: label(thing), Name: thing.Row.Name, State: Plain, X: b.Label.X, Y: b.Label.Y, Ends: b.Targets,
		}
		at := balloon.Beside(b.Label, b.Beside, out.Width, out.Height)
		placed.X, placed.Y = at.X, at.Y
		out.Balloons = append(out.Balloons, placed)
	}
	return out, nil
}

// label is what stands in a thing's balloon: its number or its letters; of a thing other than a part, that has none, the
// initials of its name.
func label(t *procedure.Thing) string {
	letter := ""
	switch {
	case t.Part != nil:
		letter = t.Part.Letter
	case t.Connection != nil:
		letter = t.Connection.Letter
	case t.Fluid != nil:
		letter = t.Fluid.Letter
	case t.Support != nil:
		letter = t.Support.Letter
	case t.Tool != nil:
		letter = t.Tool.Letter
	}
	switch {
	case letter != "":
		return letter
	case t.Part != nil || t.Fastener != nil:
		return t.Row.ID
	}
	return initials(t.Row.Name)
}

// initials are the first letters of the first two words of a name, in capitals.
func initials(name string) string {
	var out []rune
	for word := range strings.FieldsFuncSeq(name, func(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) }) {
		if out = append(out, unicode.ToUpper([]rune(word)[0])); len(out) == 2 {
			break
		}
	}
	return string(out)
}

// unit is how many of the picture's units one CSS pixel is in the smallest box.
func (f *Figure) unit() float64 { return balloon.Unit(f.Width, f.Height) }

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
