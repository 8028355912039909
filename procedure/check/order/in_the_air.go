package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/state"
)

// hung reports whether a support carries from above: what it carries is a load in the air once it is lifted.
func hung(x *state.Support) bool {
	switch x.Kind {
	case procedure.Hoist, procedure.Sling, procedure.ChainSling, procedure.EyeBolt:
		return true
	}
	return false
}

// liftsOnHook reports whether an event lifts a part that then hangs in the air.
func liftsOnHook(e *state.Event) bool {
	return e.Part != nil && e.Action.Verb == procedure.Lift && slices.ContainsFunc(e.Before.Carriers(e.Part), hung)
}

// inTheAir returns the parts that hang on lifting gear in a state, in the order of the register.
func inTheAir(s *state.State) []*state.Part {
	var out []*state.Part
	for _, p := range s.Assembly.Parts {
		if s.Part(p).Is == state.Lifted && slices.ContainsFunc(s.Carriers(p), hung) {
			out = append(out, p)
		}
	}
	return out
}

// liftOf is the event that took a part into the air; nil when it hung at the start.
func liftOf(f *Facts, s *state.State, p *state.Part) *state.Event {
	return f.Trace.Event(s.Part(p).Last)
}
