package order

import (
	"math"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/state"
)

// holds ties supports to the fasteners that held before they did: a support goes
// on before the last way from a part to a base part is taken apart, and comes
// away only after such a way is there again.
func (l *ledger) holds() {
	for i := range l.trace.Events {
		e := &l.trace.Events[i]
		switch {
		case e.Fastener != nil && e.Fastener.Carries() && e.Action.Verb == procedure.Remove:
			for _, p := range e.Fastener.Parts {
				l.lastHolder(e, p)
			}
		case e.Part != nil && e.Action.Verb == procedure.Release:
			l.taken(e)
		}
	}
}

// lastHolder adds edges when, after the event, supports alone carry what hangs
// together with p: they are on before this fastener comes out and, if the group
// hung on a base part until now, before any of the fasteners by which it did.
func (l *ledger) lastHolder(e *state.Event, p *state.Part) {
	if e.After.Part(p).Is != state.InPlace || e.After.Anchored(p) {
		return
	}
	after := e.After.Group(p)
	l.lightened(e, after)
	for _, hang := range l.hangs(e, after) {
		l.between(hang, e, Reason{Kind: Held, Thing: &p.Row, From: hang.Action, To: e.Action})
		if !e.Before.Anchored(p) {
			continue
		}
		for _, q := range after.Parts {
			for _, f := range e.Before.Path(q) {
				if out := l.next(e.Index, f, procedure.Remove); out != nil {
					l.between(hang, out, Reason{Kind: Held, Thing: &q.Row, From: hang.Action, To: out.Action})
				}
			}
		}
	}
}

// lightened adds edges from what was taken off the group before it hung on its
// supports, or on nothing: with all that it would be too heavy for them.
func (l *ledger) lightened(e *state.Event, g state.Group) {
	var apart []*state.Fastener
	all := slices.Clone(g.Parts)
	kg := 0.0
	for i := 0; i < len(all); i++ {
		kg += all[i].Kg
		for _, f := range all[i].Fasteners {
			if !f.Carries() {
				continue
			}
			for _, q := range f.Parts {
				if q.Base || slices.Contains(all, q) {
					continue
				}
				all = append(all, q)
			}
			outward := slices.ContainsFunc(f.Parts, func(q *state.Part) bool { return !q.Base && !g.Has(q) })
			if g.Has(all[i]) && outward && !e.After.Fastener(f).In() && !slices.Contains(apart, f) {
				apart = append(apart, f)
			}
		}
	}
	bears := state.RestKg
	if len(g.Carriers) > 0 {
		bears = math.Inf(1)
	}
	for _, x := range g.Carriers {
		if x.Kg > 0 {
			bears = min(bears, x.Kg)
		}
	}
	if kg < bears {
		return
	}
	for _, f := range apart {
		if out := l.trace.Event(e.After.Fastener(f).Last); out != nil && out.Action.Verb == procedure.Remove {
			l.between(out, e, Reason{Kind: Joined, Thing: &f.Row, From: out.Action, To: e.Action})
		}
	}
}

// hangs returns the events that put the group's supports on, as of the given event.
func (l *ledger) hangs(e *state.Event, g state.Group) []*state.Event {
	var out []*state.Event
	for _, x := range g.Carriers {
		for i := e.Index - 1; i >= 0; i-- {
			h := &l.trace.Events[i]
			if h.Part != nil && h.Action.Verb == procedure.Hang && g.Has(h.Part) && slices.Contains(h.Supports, x) {
				out = append(out, h)
				break
			}
		}
	}
	return out
}

// taken adds edges when a support is taken away from a part that fasteners or other supports hold.
func (l *ledger) taken(e *state.Event) {
	if e.Before.Part(e.Part).Is != state.InPlace {
		return
	}
	after := e.After.Group(e.Part)
	if !after.Anchored {
		for _, hang := range l.hangs(e, after) {
			l.between(hang, e, Reason{Kind: Held, Thing: &e.Part.Row, From: hang.Action, To: e.Action})
		}
		return
	}
	for _, q := range after.Parts {
		for _, f := range e.Before.Path(q) {
			for i := e.Index - 1; i >= 0; i-- {
				in := &l.trace.Events[i]
				if in.Fastener == f && in.Action.Verb == procedure.Fit {
					l.between(in, e, Reason{Kind: Carried, Thing: &f.Row, From: in.Action, To: e.Action})
					break
				}
			}
			if out := l.next(e.Index, f, procedure.Remove); out != nil {
				l.between(e, out, Reason{Kind: AsItWas, Thing: &f.Row, From: e.Action, To: out.Action})
			}
		}
	}
}

// next returns the first event from the given one on that does the verb to the fastener; nil when there is none.
func (l *ledger) next(from int, f *state.Fastener, verb procedure.Verb) *state.Event {
	for i := from; i < len(l.trace.Events); i++ {
		if e := &l.trace.Events[i]; e.Fastener == f && e.Action.Verb == verb {
			return e
		}
	}
	return nil
}

// between adds an edge between the steps of two events.
func (l *ledger) between(from, to *state.Event, r Reason) {
	if i, j := from.Step.Number-1, to.Step.Number-1; i < j {
		l.graph.Add(i, j, r)
	}
}

// barriers splits the job at hold points, lifts and setting down: what is before
// stays before, what is after stays after.
func (l *ledger) barriers() {
	last := -1
	for i, s := range l.trace.Job.Steps {
		kind := l.barrier(i, s)
		if last >= 0 {
			l.graph.Add(last, i, Reason{Kind: l.barrier(last, l.trace.Job.Steps[last])})
		}
		if kind == "" {
			continue
		}
		for j := last + 1; j < i; j++ {
			l.graph.Add(j, i, Reason{Kind: kind})
		}
		last = i
	}
}

// barrier returns why a step splits the job; empty when it does not.
func (l *ledger) barrier(i int, s *procedure.Step) Kind {
	for _, e := range l.trace.Step(i) {
		if e.Part != nil && (e.Action.Verb == procedure.Lift || e.Action.Verb == procedure.SetDown) {
			return LoadInAir
		}
	}
	if state.Hold(s) != nil {
		return HoldPoint
	}
	return ""
}
