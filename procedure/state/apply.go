package state

import (
	"slices"

	"matchmark/procedure"
)

// apply does the event's action to e.After, which is a copy of e.Before so far.
func apply(e *Event) {
	switch {
	case e.Fastener != nil:
		applyFastener(e)
	case e.Part != nil:
		applyPart(e)
	case e.Connection != nil:
		applyConnection(e)
	case e.Fluid != nil:
		applyFluid(e)
	case e.Condition != nil:
		applyCondition(e)
	}
}

func applyFastener(e *Event) {
	s := e.Before.Fastener(e.Fastener)
	was, gone := s.Is, s.Gone
	switch e.Action.Verb {
	case procedure.Remove:
		all := int16(e.Fastener.Count)
		s.Gone = all
		if some := e.Action.Some(e.Fastener.Fastener); some > 0 {
			s.Gone = min(gone+int16(some), all)
		}
		if s.Gone == all {
			s.Is = Out
		}
	case procedure.Loosen:
		if s.Is == Tight {
			s.Is = Loose
		}
	case procedure.Keep:
		s.Kept = int32(e.Index)
	case procedure.Fit:
		if gone > 0 || s.Is == Out {
			s.Gone = 0
			if some := e.Action.Some(e.Fastener.Fastener); some > 0 {
				s.Gone = max(gone-int16(some), 0)
			}
			s.Is = Loose
			if e.Fastener.TightAtOnce() {
				s.Is = Tight
			}
			s.New = s.New || e.Fastener.SingleUse
		}
	case procedure.Tighten:
		if s.Is == Loose {
			s.Is = Tight
		}
	case procedure.Mark:
		s.Marked = true
	default:
		return
	}
	if s.Is != was || s.Gone != gone {
		s.Last = int32(e.Index)
	}
	e.After.setFastener(e.Fastener, s)
	if s.Is == Tight && was != Tight {
		e.lose(e.Fastener.ends)
	}
}

func applyPart(e *Event) {
	p := e.Part
	s := e.Before.Part(p)
	switch e.Action.Verb {
	case procedure.Remove:
		if s.Is != Off || e.Departs() {
			e.moveTo(Off, nil)
		}
	case procedure.Lift:
		if s.Is != Lifted {
			e.moveTo(Lifted, nil)
		}
	case procedure.SetDown:
		if s.Is != Down {
			e.moveTo(Down, e.Supports)
		}
	case procedure.Fit:
		if s.Is != InPlace {
			e.fit()
		}
	case procedure.Hang:
		for _, x := range e.Supports {
			if at := slices.Index(s.Carriers, x); at >= 0 {
				s.PutBy = slices.Clone(s.PutBy)
				s.PutBy[at] = e.Action // it is put elsewhere
				continue
			}
			s.Carriers, s.PutBy = append(slices.Clip(s.Carriers), x), append(slices.Clip(s.PutBy), e.Action)
		}
		e.After.setPart(p, s)
	case procedure.Release:
		s.release(e.Supports)
		e.After.setPart(p, s)
	case procedure.Mark:
		s.Marked = true
		e.After.setPart(p, s)
	}
}

// release takes supports away.
func (s *PartState) release(supports []*Support) {
	var carriers []*Support
	var by []*procedure.Action
	for i, x := range s.Carriers {
		if !slices.Contains(supports, x) {
			carriers, by = append(carriers, x), append(by, s.PutBy[i])
		}
	}
	s.Carriers, s.PutBy = carriers, by
}

// moveTo takes the part, with what hangs together with it, off its place or on from where it is.
func (e *Event) moveTo(place Place, on []*Support) {
	e.Moved = e.Before.moving(e.Part, e.Action.Verb)
	for _, q := range e.Moved {
		s := e.Before.Part(q)
		switch {
		case q == e.Part:
			s.Aboard = s.Aboard && !e.Departs()
		case e.Departs():
			s.Rides, s.Aboard = e.Part, true
		}
		if place == Off {
			s.Carriers, s.PutBy = nil, nil
		}
		s.Is, s.On, s.DownBy, s.Last = place, on, nil, int32(e.Index)
		if place == Down {
			s.DownBy = e.Action
		}
		e.After.setPart(q, s)
	}
}

// putOn is the part that a brought one is put on where that has left its place: what it is joined to; nil for none.
func (s *State) putOn(p *Part) *Part {
	for _, f := range p.Fasteners {
		for _, q := range f.Parts {
			if q != p && !q.Brought && (s.part(q).Is == Down || s.part(q).Is == Lifted) {
				return q
			}
		}
	}
	return nil
}

// fit puts the part into its place with what rides on it. A part that came off
// another one on the bench goes back to where that one is, and so does what is brought for it.
func (e *Event) fit() {
	p := e.Part
	s := e.Before.Part(p)
	place, on, by := InPlace, []*Support(nil), (*procedure.Action)(nil)
	host := s.Rides
	if p.Brought {
		host = e.Before.putOn(p)
	}
	if host != nil && !s.Aboard {
		at := e.Before.Part(host)
		place, on, by = at.Is, at.On, at.DownBy
	}
	e.Moved = e.Before.moving(p, e.Action.Verb)
	for _, q := range e.Moved {
		s := e.Before.Part(q)
		s.Is, s.On, s.DownBy, s.Last = place, on, by, int32(e.Index)
		switch {
		case place == InPlace:
			s.Rides, s.Aboard = nil, false
		case q == p:
			s.Rides, s.Aboard = host, true
		}
		e.After.setPart(q, s)
	}
	e.lose(p.ends)
}

func applyConnection(e *Event) {
	s := e.Before.Connection(e.Connection)
	was := s.Apart
	switch e.Action.Verb {
	case procedure.Disconnect:
		s.Apart = true
	case procedure.Connect:
		s.Apart = false
		e.lose(e.Connection.ends)
	case procedure.Mark:
		s.Marked = true
	default:
		return
	}
	if s.Apart != was {
		s.Last = int32(e.Index)
	}
	e.After.setConnection(e.Connection, s)
}

func applyFluid(e *Event) {
	s := e.Before.Fluid(e.Fluid)
	was := s.Is
	switch e.Action.Verb {
	case procedure.Drain:
		s.Is = Drained
	case procedure.Flush:
		if s.Is == Drained {
			s.Is = Flushed
		}
	case procedure.Fill:
		s.New = s.New || (e.Fluid.SingleUse && s.Is != Full)
		s.Is = Full
		e.lose(e.Fluid.ends)
	default:
		return
	}
	if s.Is != was {
		s.Last = int32(e.Index)
	}
	e.After.setFluid(e.Fluid, s)
}

func applyCondition(e *Event) {
	c := e.Condition
	s := e.Before.Condition(c)
	was := s.Is
	switch e.Action.Verb {
	case procedure.Establish:
		if !s.Holds() {
			s.Is = Established
		}
	case procedure.Verify:
		if s.Holds() {
			s.Is = Verified
		}
	case procedure.Undo:
		s.Is = Open
	default:
		return
	}
	if s.Is != was {
		s.Last = int32(e.Index)
		e.After.setCondition(c, s)
	}
	switch e.Action.Verb {
	case procedure.Verify:
		for _, x := range c.Proves {
			if s.Is == Verified && e.Before.Condition(x).Holds() {
				e.After.setCondition(x, ConditionState{Is: Verified, Last: int32(e.Index)})
			}
		}
	case procedure.Establish:
		e.lose(c.ends)
	case procedure.Undo:
		e.lose(c.RequiredBy)
	}
}

// lose ends conditions and, with them, those that need them.
func (e *Event) lose(conditions []*Condition) {
	for _, c := range conditions {
		s := e.After.Condition(c)
		if !s.Holds() {
			continue
		}
		e.After.setCondition(c, ConditionState{Is: Lost, Last: int32(e.Index)})
		e.Lost = append(e.Lost, c)
		e.lose(c.RequiredBy)
	}
}
