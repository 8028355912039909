// Package loads works out how the weight of parts goes down at one moment of a job: over which fasteners, hooks and
// jacks, how much each has, and whether all keep their balance. Where places are not stated it says what they all have
// together, and that the shares are not known.
package loads

import (
	"math"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/lifting"
	"matchmark/procedure/measure"
	"matchmark/procedure/position"
	"matchmark/procedure/state"
)

// Line is one way on which weight goes from a part: to a hook, over the sling and the eye bolts between, or to one jack, stand or pair of hands.
type Line struct {
	Part *state.Part
	// Supports are the hook and what hangs on it, or the one that carries from below.
	Supports []*state.Support
	// At is where it takes the part, Hook where the hook hangs. Empty when not stated.
	At, Hook position.List
}

// Hangs reports whether the line leads up to a hook.
func (l *Line) Hangs() bool { return l.Supports[0].Ability().Hangs && !l.Supports[0].Ability().Below }

// Weakest is the support of the line that can take least, of those whose rating is stated, and what it can take, in kilograms; nil when
// none is. Whether an angle or a hitch takes too much of a sling is judged at the lift.
func (l *Line) Weakest() (weakest *state.Support, kg float64) {
	for _, x := range l.Supports {
		if x.Capacity.IsZero() && x.Tag.IsZero() {
			continue
		}
		if c := Rated(x); weakest == nil || c < kg {
			weakest, kg = x, c
		}
	}
	return weakest, kg
}

// Rated is the load that a support can take: of a sling one leg, or all of them as they are put on, if that is more.
func Rated(x *state.Support) float64 {
	together, _ := lifting.CanCarry(x.Support)
	return max(together, x.Kg)
}

// LinesOf returns the lines on a part, as its supports were put on. What carries nothing is on none.
func LinesOf(s *state.State, p *state.Part) []Line {
	at := s.Part(p)
	var out []Line
	var between []int
	for i, x := range at.Carriers {
		can := x.Ability()
		switch {
		case can.Between:
			between = append(between, i)
		case can.Bears():
			out = append(out, lineOf(s.Assembly, p, x, at.PutBy[i]))
		}
	}
	for n, i := range between {
		if to := hookFor(out, at, between[:n], i); to != nil {
			to.hangOn(at.Carriers[i], at.PutBy[i])
		}
	}
	return out
}

// lineOf is a line that begins with what carries by itself.
func lineOf(a *state.Assembly, p *state.Part, x *state.Support, by *procedure.Action) Line {
	l := Line{Part: p, Supports: []*state.Support{x}, At: x.At, Hook: by.Hook}
	if by.At != "" {
		l.At = shareOf(a, x, by)
	}
	if by.At != "" && len(l.At.Each()) == 1 {
		return l // the hook is where the act says
	}
	if l.Hook == "" && x.Ability().Hangs {
		l.Hook = x.At
	}
	return l
}

// shareOf returns the places of one support of an act: several that carry by themselves share its places in their order.
func shareOf(a *state.Assembly, x *state.Support, by *procedure.Action) position.List {
	var sharing []*state.Support
	for _, r := range by.With {
		if y := a.Support(r.ID); y != nil && y.Bears() {
			sharing = append(sharing, y)
		}
	}
	places := by.At.Each()
	n := len(sharing)
	if n < 2 || len(places)%n != 0 {
		return by.At
	}
	i, each := slices.Index(sharing, x), len(places)/n
	return joined(places[i*each : (i+1)*each])
}

// hookFor returns the line that a sling or an eye bolt hangs on: the hook that was put on with it, the i-th for the i-th of its kind; nil when there is none.
func hookFor(lines []Line, at state.PartState, earlier []int, i int) *Line {
	var hooks, same []*Line
	for k := range lines {
		if !lines[k].Hangs() {
			continue
		}
		hooks = append(hooks, &lines[k])
		if at.PutBy[slices.Index(at.Carriers, lines[k].Supports[0])] == at.PutBy[i] {
			same = append(same, &lines[k])
		}
	}
	if len(same) == 0 {
		same = hooks
	}
	if len(same) == 0 {
		return nil
	}
	nth := 0
	for _, k := range earlier {
		if at.Carriers[k].Kind == at.Carriers[i].Kind && at.PutBy[k] == at.PutBy[i] {
			nth++
		}
	}
	return same[min(nth, len(same)-1)]
}

// hangOn puts a sling or eye bolts between the hook and the part. Where they take the part counts more than where the hook is.
func (l *Line) hangOn(x *state.Support, by *procedure.Action) {
	l.Supports = append(l.Supports, x)
	switch {
	case by.At != "" && l.At == "":
		l.At = by.At
	case by.At == "" && x.At != "":
		l.At = x.At
	}
	if by.Hook != "" {
		l.Hook = by.Hook
	}
}

func joined(places []position.List) position.List {
	var words []string
	for _, p := range places {
		words = append(words, string(p))
	}
	return position.List(strings.Join(words, " / "))
}

// kilograms is a rating as a mass; zero when it is not stated.
func kilograms(q measure.Quantity) float64 {
	kg, _ := lifting.Kilograms(q)
	return kg
}

// sine is that of the angle of the line's sling legs from the horizontal, the flatter one where they differ; 1 where none is stated.
func (l *Line) sine() float64 {
	for _, x := range l.Supports {
		if x.Ability().Between && !x.Angle.IsZero() {
			angle := x.Angle.Float("deg")
			if !x.OtherAngle.IsZero() {
				angle = min(angle, x.OtherAngle.Float("deg"))
			}
			return math.Sin(angle * math.Pi / 180)
		}
	}
	return 1
}

// LegCanCarry is the pull in kilograms that one leg of the line's sling may take; nil for a line without a sling of which that is stated.
func (l *Line) LegCanCarry() (kg float64, sling *state.Support) {
	for _, x := range l.Supports {
		if kg, known := lifting.OneLeg(x.Support); known {
			return kg, x
		}
	}
	return 0, nil
}
