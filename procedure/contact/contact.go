// Package contact says which hazards an act of a step brings people close to: that of the thing that is taken in
// hand, and that of the fluid that the act lets out.
package contact

import (
	"regexp"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/hazard"
)

// Contact is a hazard that an act brings people close to.
type Contact struct {
	Action *procedure.Action
	// Row is whose hazard it is, and Words how the row states it.
	Row   *procedure.Row
	Words string
	// Fluid is set for the hazard of a fluid.
	Fluid *procedure.Fluid
	// Out is true for an act with which the fluid runs out, and not only what is left of it.
	Out bool
	// Needs are what must be protected in this act.
	Needs []hazard.Need
}

// Of returns the contacts of an act of a step.
func Of(m *procedure.Machine, s *procedure.Step, a *procedure.Action) []Contact {
	t := m.Thing(a.Object.ID)
	if t == nil {
		return nil
	}
	var out []Contact
	if words := stated(t); words != "" && t.Fluid == nil && handles(t, a.Verb) {
		out = append(out, Contact{Action: a, Row: t.Row, Words: words, Needs: hazard.Needs(words)})
	}
	for _, x := range m.Fluids {
		if stated(&procedure.Thing{Fluid: x}) == "" {
			continue
		}
		opens, runs := lets(m, s, a, t, x)
		if !opens {
			continue
		}
		c := Contact{Action: a, Row: &x.Row, Words: x.Hazard, Fluid: x, Out: runs}
		for _, n := range hazard.Needs(x.Name + ": " + x.Hazard) {
			switch {
			case n.Place == hazard.Floor && !runs:
			case n.Kind == hazard.Hot && a.Verb == procedure.Fill: // what is filled in was not in the machine yet
			default:
				c.Needs = append(c.Needs, n)
			}
		}
		out = append(out, c)
	}
	return out
}

// Overhead is what a load that hangs asks for.
var Overhead = hazard.Need{Place: hazard.Head, Kind: hazard.Falling}

// Needs returns what must be protected in an act of a step. Fluids count as if they had not been flushed out.
func Needs(m *procedure.Machine, s *procedure.Step, a *procedure.Action) []hazard.Need {
	var out []hazard.Need
	for _, c := range Of(m, s, a) {
		out = append(out, c.Needs...)
	}
	hoist := func(t *procedure.Thing) bool {
		return t != nil && t.Support != nil && t.Support.Kind == procedure.Hoist
	}
	switch a.Verb {
	case procedure.Lift:
		if slices.ContainsFunc(a.With, func(r procedure.Ref) bool { return hoist(m.Thing(r.ID)) }) {
			out = append(out, Overhead)
		}
	case procedure.SetDown: // from what it hangs was said before
		if slices.ContainsFunc(m.Supports, func(x *procedure.Support) bool { return x.Kind == procedure.Hoist }) {
			out = append(out, Overhead)
		}
	}
	return out
}

// stated is the hazard that a row states; empty for none.
func stated(t *procedure.Thing) string {
	if words := t.Hazard(); words != hazard.None {
		return words
	}
	return ""
}

// handles reports whether a verb takes a part, fastener or connection in hand.
func handles(t *procedure.Thing, v procedure.Verb) bool {
	switch v {
	case procedure.Inspect, procedure.Mark, procedure.Keep, procedure.Tally:
		return false
	case procedure.Loosen:
		return t.Fastener != nil
	}
	return true
}

// lets reports whether an act opens the circuit of a fluid, or fills it, and whether the fluid runs out with it.
func lets(m *procedure.Machine, s *procedure.Step, a *procedure.Action, t *procedure.Thing, x *procedure.Fluid) (opens, runs bool) {
	switch {
	case t.Fluid == x:
		switch a.Verb {
		case procedure.Drain:
			return true, true
		case procedure.Fill, procedure.Flush:
			return true, false
		}
	case t.Connection != nil && a.Verb == procedure.Disconnect:
		return t.Connection.Carries.ID == x.ID, false
	case t.Fastener != nil && (a.Verb == procedure.Remove || a.Verb == procedure.Loosen):
		return IsPlug(t.Fastener, x) || joint(m, t.Fastener, x), false
	}
	return false, false
}

var numbers = regexp.MustCompile(`\d+`)

// IsPlug reports whether the place where a fluid comes out names the fastener: "plug 7, at the lowest point".
func IsPlug(f *procedure.Fastener, x *procedure.Fluid) bool {
	return f.Kind == procedure.Plug && slices.Contains(numbers.FindAllString(x.Drain, -1), f.ID)
}

// joint reports whether a fastener closes a joint between two parts that a line with the fluid leads to.
func joint(m *procedure.Machine, f *procedure.Fastener, x *procedure.Fluid) bool {
	for _, c := range m.Connections {
		if c.Carries.ID != x.ID {
			continue
		}
		wet := 0
		for _, r := range f.Joins {
			if slices.ContainsFunc(c.Joins, func(j procedure.Ref) bool { return j.ID == r.ID }) {
				wet++
			}
		}
		if wet >= 2 {
			return true
		}
	}
	return false
}

// Protects reports whether a tool meets a need. What takes up a spill may stand on any list, all else is protection.
func Protects(t *procedure.Tool, n hazard.Need) bool {
	if t.Kind != procedure.Protection && n.Place != hazard.Floor {
		return false
	}
	return hazard.Serves(t.Name, t.Against, n)
}
