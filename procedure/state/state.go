package state

import "slices"

// State is a machine's state at one moment. It never changes: an action gives a new one.
type State struct {
	// Assembly is the machine that the state is of.
	Assembly *Assembly

	fasteners   []FastenerState
	parts       []PartState
	connections []ConnectionState
	fluids      []FluidState
	conditions  []ConditionState
}

// Whole returns the state of the assembled machine: all fasteners tight, all
// parts in place, all fluids full, no condition established.
func Whole(a *Assembly) *State {
	s := &State{
		Assembly:    a,
		fasteners:   make([]FastenerState, len(a.Fasteners)),
		parts:       make([]PartState, len(a.Parts)),
		connections: make([]ConnectionState, len(a.Connections)),
		fluids:      make([]FluidState, len(a.Fluids)),
		conditions:  make([]ConditionState, len(a.Conditions)),
	}
	s.forget()
	return s
}

// forget takes the indices of events out, which mean nothing in another trace.
func (s *State) forget() {
	for i := range s.fasteners {
		s.fasteners[i].Last, s.fasteners[i].Kept = None, None
	}
	for i := range s.parts {
		s.parts[i].Last = None
	}
	for i := range s.connections {
		s.connections[i].Last = None
	}
	for i := range s.fluids {
		s.fluids[i].Last = None
	}
	for i := range s.conditions {
		s.conditions[i].Last = None
	}
}

// asStart returns the same state as the start of another trace.
func (s *State) asStart() *State {
	t := &State{
		Assembly:    s.Assembly,
		fasteners:   slices.Clone(s.fasteners),
		parts:       slices.Clone(s.parts),
		connections: slices.Clone(s.connections),
		fluids:      slices.Clone(s.fluids),
		conditions:  slices.Clone(s.conditions),
	}
	t.forget()
	return t
}

// Fastener returns the fastener's state.
func (s *State) Fastener(f *Fastener) FastenerState { return s.fasteners[f.Index] }

// Part returns the part's state.
func (s *State) Part(p *Part) PartState { return s.parts[p.Index] }

// Connection returns the connection's state.
func (s *State) Connection(c *Connection) ConnectionState { return s.connections[c.Index] }

// Fluid returns the fluid's state.
func (s *State) Fluid(f *Fluid) FluidState { return s.fluids[f.Index] }

// Condition returns the condition's state.
func (s *State) Condition(c *Condition) ConditionState { return s.conditions[c.Index] }

// Proved reports whether a condition holds and was verified, itself or through a
// condition that needs it: who proves the circuit dead has proved it isolated.
func (s *State) Proved(c *Condition) bool {
	if !s.conditions[c.Index].Holds() {
		return false
	}
	return s.proved(c, map[*Condition]bool{})
}

func (s *State) proved(c *Condition, seen map[*Condition]bool) bool {
	if seen[c] {
		return false
	}
	seen[c] = true
	if s.conditions[c.Index].Is == Verified {
		return true
	}
	for _, d := range c.RequiredBy {
		if s.proved(d, seen) {
			return true
		}
	}
	return false
}

// CarriedBy returns the parts that the support is on, slack or not, in the order of the register.
func (s *State) CarriedBy(x *Support) []*Part {
	var out []*Part
	for i, p := range s.parts {
		if slices.Contains(p.Carriers, x) {
			out = append(out, s.Assembly.Parts[i])
		}
	}
	return out
}

// StandingOn returns the parts that stand on the support, in the order of the register.
func (s *State) StandingOn(x *Support) []*Part {
	var out []*Part
	for i, p := range s.parts {
		if p.Is == Down && slices.Contains(p.On, x) {
			out = append(out, s.Assembly.Parts[i])
		}
	}
	return out
}

// The setters below change a state that nobody else has seen yet. They copy the
// register that they change, because earlier states share it.

func (s *State) setFastener(f *Fastener, v FastenerState) {
	s.fasteners = slices.Clone(s.fasteners)
	s.fasteners[f.Index] = v
}

func (s *State) setPart(p *Part, v PartState) {
	s.parts = slices.Clone(s.parts)
	s.parts[p.Index] = v
}

func (s *State) setConnection(c *Connection, v ConnectionState) {
	s.connections = slices.Clone(s.connections)
	s.connections[c.Index] = v
}

func (s *State) setFluid(f *Fluid, v FluidState) {
	s.fluids = slices.Clone(s.fluids)
	s.fluids[f.Index] = v
}

func (s *State) setCondition(c *Condition, v ConditionState) {
	s.conditions = slices.Clone(s.conditions)
	s.conditions[c.Index] = v
}
