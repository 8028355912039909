package state

import "slices"

// State is a machine's state at one moment. It never changes: an action gives a new one.
type State struct {
	// Assembly is the machine that the state is of.
	Assembly *Assembly

	fasteners   pages[FastenerState]
	parts       pages[PartState]
	connections pages[ConnectionState]
	fluids      pages[FluidState]
	conditions  pages[ConditionState]
}

// Whole returns the state of the assembled machine: all fasteners tight, all
// parts in place, all fluids full, no condition established.
func Whole(a *Assembly) *State {
	s := &State{
		Assembly:    a,
		fasteners:   newPages[FastenerState](len(a.Fasteners)),
		parts:       newPages[PartState](len(a.Parts)),
		connections: newPages[ConnectionState](len(a.Connections)),
		fluids:      newPages[FluidState](len(a.Fluids)),
		conditions:  newPages[ConditionState](len(a.Conditions)),
	}
	return s.asStart()
}

// asStart returns the same state as the start of a trace: without indices of
// events, which mean nothing in another trace.
func (s *State) asStart() *State {
	return &State{
		Assembly:    s.Assembly,
		fasteners:   s.fasteners.each(func(f *FastenerState) { f.Last, f.Kept = None, None }),
		parts:       s.parts.each(func(p *PartState) { p.Last = None }),
		connections: s.connections.each(func(c *ConnectionState) { c.Last = None }),
		fluids:      s.fluids.each(func(f *FluidState) { f.Last = None }),
		conditions:  s.conditions.each(func(c *ConditionState) { c.Last = None }),
	}
}

// Fastener returns the fastener's state.
func (s *State) Fastener(f *Fastener) FastenerState { return *s.fasteners.at(f.Index) }

// Part returns the part's state.
func (s *State) Part(p *Part) PartState { return *s.parts.at(p.Index) }

// Connection returns the connection's state.
func (s *State) Connection(c *Connection) ConnectionState { return *s.connections.at(c.Index) }

// Fluid returns the fluid's state.
func (s *State) Fluid(f *Fluid) FluidState { return *s.fluids.at(f.Index) }

// Condition returns the condition's state.
func (s *State) Condition(c *Condition) ConditionState { return *s.conditions.at(c.Index) }

// Proved reports whether a condition holds and was verified since it was established.
func (s *State) Proved(c *Condition) bool { return s.conditions.at(c.Index).Is == Verified }

// CarriedBy returns the parts that the support is on, slack or not, in the order of the register.
func (s *State) CarriedBy(x *Support) []*Part {
	var out []*Part
	for i, p := range s.Assembly.Parts {
		if slices.Contains(s.parts.at(i).Carriers, x) {
			out = append(out, p)
		}
	}
	return out
}

// StandingOn returns the parts that stand on the support, in the order of the register.
func (s *State) StandingOn(x *Support) []*Part {
	var out []*Part
	for i, p := range s.Assembly.Parts {
		if at := s.parts.at(i); at.Is == Down && slices.Contains(at.On, x) {
			out = append(out, p)
		}
	}
	return out
}

// The setters below change a state that nobody else has seen yet.

func (s *State) setFastener(f *Fastener, v FastenerState) {
	s.fasteners = s.fasteners.with(f.Index, v)
}

func (s *State) setPart(p *Part, v PartState) {
	s.parts = s.parts.with(p.Index, v)
}

func (s *State) setConnection(c *Connection, v ConnectionState) {
	s.connections = s.connections.with(c.Index, v)
}

func (s *State) setFluid(f *Fluid, v FluidState) {
	s.fluids = s.fluids.with(f.Index, v)
}

func (s *State) setCondition(c *Condition, v ConditionState) {
	s.conditions = s.conditions.with(c.Index, v)
}
