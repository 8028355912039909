package state

import "slices"

// State is a machine's state at one moment. It never changes: an action gives a new one.
type State struct {
	// Assembly is the machine that the state is of.
	Assembly *Assembly

	course *course
	// at is the index of the event that led to the state; None at the start.
	at int32
}

// course is how the things of a machine go through a trace.
type course struct {
	fasteners   timeline[FastenerState]
	parts       timeline[PartState]
	connections timeline[ConnectionState]
	fluids      timeline[FluidState]
	conditions  timeline[ConditionState]
}

// Assembled returns the state of the assembled machine: all fasteners tight, all
// parts in place, all fluids full, no condition established. What is brought for the job is outside.
func Assembled(a *Assembly) *State {
	return &State{Assembly: a, at: None, course: &course{
		fasteners: startingFrom(len(a.Fasteners), func(i int) FastenerState {
			if f := a.Fasteners[i]; f.Brought {
				return FastenerState{Is: Out, Gone: int16(f.Count), Last: None, Kept: None}
			}
			return FastenerState{Last: None, Kept: None}
		}),
		parts: startingFrom(len(a.Parts), func(i int) PartState {
			if a.Parts[i].Brought {
				return PartState{Is: Off, Last: None}
			}
			return PartState{Last: None}
		}),
		connections: newTimeline(len(a.Connections), ConnectionState{Last: None}),
		fluids:      newTimeline(len(a.Fluids), FluidState{Last: None}),
		conditions:  newTimeline(len(a.Conditions), ConditionState{Last: None}),
	}}
}

// asStart returns the same state as the start of a trace: without indices of
// events, which mean nothing in another trace.
func (s *State) asStart() *State {
	return &State{Assembly: s.Assembly, at: None, course: &course{
		fasteners:   s.course.fasteners.then(s.at, func(f FastenerState) FastenerState { f.Last, f.Kept = None, None; return f }),
		parts:       s.course.parts.then(s.at, func(p PartState) PartState { p.Last = None; return p }),
		connections: s.course.connections.then(s.at, func(c ConnectionState) ConnectionState { c.Last = None; return c }),
		fluids:      s.course.fluids.then(s.at, func(f FluidState) FluidState { f.Last = None; return f }),
		conditions:  s.course.conditions.then(s.at, func(c ConditionState) ConditionState { c.Last = None; return c }),
	}}
}

// part is the part's state, to look at.
func (s *State) part(p *Part) *PartState { return s.course.parts.at(p.Index, s.at) }

// Fastener returns the fastener's state.
func (s *State) Fastener(f *Fastener) FastenerState {
	return *s.course.fasteners.at(f.Index, s.at)
}

// Part returns the part's state.
func (s *State) Part(p *Part) PartState { return *s.part(p) }

// Connection returns the connection's state.
func (s *State) Connection(c *Connection) ConnectionState {
	return *s.course.connections.at(c.Index, s.at)
}

// Fluid returns the fluid's state.
func (s *State) Fluid(f *Fluid) FluidState { return *s.course.fluids.at(f.Index, s.at) }

// Condition returns the condition's state.
func (s *State) Condition(c *Condition) ConditionState {
	return *s.course.conditions.at(c.Index, s.at)
}

// Proved reports whether a condition holds and was verified since it was established.
func (s *State) Proved(c *Condition) bool { return s.Condition(c).Is == Verified }

// CarriedBy returns the parts that the support is on, slack or not, in the order of the register.
func (s *State) CarriedBy(x *Support) []*Part {
	var out []*Part
	for _, p := range s.Assembly.Parts {
		if slices.Contains(s.part(p).Carriers, x) {
			out = append(out, p)
		}
	}
	return out
}

// StandingOn returns the parts that stand on the support, in the order of the register.
func (s *State) StandingOn(x *Support) []*Part {
	var out []*Part
	for _, p := range s.Assembly.Parts {
		if at := s.part(p); at.Is == Down && slices.Contains(at.On, x) {
			out = append(out, p)
		}
	}
	return out
}

// The setters below change a state that nobody else has seen yet.

func (s *State) setFastener(f *Fastener, v FastenerState) {
	s.course.fasteners.set(f.Index, s.at, v)
}

func (s *State) setPart(p *Part, v PartState) {
	s.course.parts.set(p.Index, s.at, v)
}

func (s *State) setConnection(c *Connection, v ConnectionState) {
	s.course.connections.set(c.Index, s.at, v)
}

func (s *State) setFluid(f *Fluid, v FluidState) {
	s.course.fluids.set(f.Index, s.at, v)
}

func (s *State) setCondition(c *Condition, v ConditionState) {
	s.course.conditions.set(c.Index, s.at, v)
}
