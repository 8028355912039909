package refit

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/state"
)

// turn goes back through the job's events and turns round those that left their
// mark on the end state. Names on one line of the source keep their order.
func (d *derivation) turn() {
	for i := len(d.out.Job.Steps) - 1; i >= 0; i-- {
		events := d.out.Step(i)
		for end := len(events); end > 0; {
			start := end - 1
			for start > 0 && events[start-1].Action.Span == events[end-1].Action.Span {
				start--
			}
			for j := start; j < end; j++ {
				d.event(&events[j], i)
			}
			end = start
		}
		d.tightenUnloosened(i, events)
	}
}

func (d *derivation) put(verb procedure.Verb, of *state.Event, home int, with ...procedure.Ref) {
	d.acts = append(d.acts, &act{verb: verb, object: of.Action.Object, with: with, of: of, home: home})
}

func (d *derivation) event(e *state.Event, home int) {
	last := int32(e.Index)
	switch {
	case e.Fastener != nil && !d.declared[&e.Fastener.Row]:
		d.fastener(e, home)
	case e.Part != nil && !d.declared[&e.Part.Row]:
		d.part(e, home)
	case e.Connection != nil && !d.declared[&e.Connection.Row]:
		if at := d.end.Connection(e.Connection); at.Apart && at.Last == last {
			d.put(procedure.Connect, e, home)
		}
	case e.Fluid != nil && !d.declared[&e.Fluid.Row]:
		at := d.end.Fluid(e.Fluid)
		if e.Action.Verb != procedure.Drain || at.Is == state.Full || d.laterDrain(e) {
			return
		}
		if at.Is == state.Drained && e.Fluid.Flush != "" {
			d.put(procedure.Flush, e, home)
		}
		d.put(procedure.Fill, e, home)
	case e.Condition != nil:
		at := d.end.Condition(e.Condition)
		if e.Condition.Undo == "" || !at.Holds() || !e.After.Condition(e.Condition).Holds() || e.Before.Condition(e.Condition).Holds() || d.laterStart(e) {
			return
		}
		if keepsEnergyAway(e.Condition, nil) {
			d.closing = append(d.closing, e)
			return
		}
		d.put(procedure.Undo, e, home)
	}
}

// keepsEnergyAway reports whether the condition is an energy condition, or one needs it: stopped before isolated.
func keepsEnergyAway(c *state.Condition, path []*state.Condition) bool {
	if c.Energy {
		return true
	}
	if slices.Contains(path, c) {
		return false
	}
	return slices.ContainsFunc(c.RequiredBy, func(x *state.Condition) bool { return keepsEnergyAway(x, append(path, c)) })
}

// laterDrain and laterStart report whether the same happens to the thing again later in the job.
func (d *derivation) laterDrain(e *state.Event) bool {
	return slices.ContainsFunc(d.out.Events[e.Index+1:], func(x state.Event) bool { return x.Fluid == e.Fluid && x.Action.Verb == procedure.Drain })
}

func (d *derivation) laterStart(e *state.Event) bool {
	return slices.ContainsFunc(d.out.Events[e.Index+1:], func(x state.Event) bool {
		return x.Condition == e.Condition && x.After.Condition(x.Condition).Holds() && !x.Before.Condition(x.Condition).Holds()
	})
}

// fitsLater reports whether what is brought for the job is put on again later in it: only the last time is turned round.
func (d *derivation) fitsLater(e *state.Event) bool {
	return slices.ContainsFunc(d.out.Events[e.Index+1:], func(x state.Event) bool {
		return x.Action.Verb == procedure.Fit && x.Action.Object.ID == e.Action.Object.ID
	})
}

func (d *derivation) fastener(e *state.Event, home int) {
	f := e.Fastener
	at := d.end.Fastener(f)
	switch {
	case f.Brought && e.Action.Verb == procedure.Fit:
		if !d.fitsLater(e) {
			d.put(procedure.Remove, e, home)
		}
	case e.Action.Verb == procedure.Remove && d.outFor(e) > 0:
		d.put(procedure.Fit, e, home)
		if n := d.outFor(e); n < f.Count {
			d.acts[len(d.acts)-1].pieces = n
		}
		if !f.TightAtOnce() && (f.Brought || f.Bench != nil && d.loosened(f) == nil) {
			d.put(procedure.Tighten, e, home) // weight comes on it next, or its unit is lifted
		}
	case f.Brought:
	case e.Action.Verb == procedure.Loosen && (at.Is == state.Loose || !f.TightAtOnce()) && d.loosened(f) == e,
		// Fitted in the job but left finger-tight.
		e.Action.Verb == procedure.Fit && at.Is == state.Loose && at.Last == int32(e.Index):
		d.put(procedure.Tighten, e, home)
	}
}

// outFor returns how many pieces of its fastener an event takes out that are still out at the end.
func (d *derivation) outFor(e *state.Event) int {
	was, is := e.Before.Fastener(e.Fastener).Gone, e.After.Fastener(e.Fastener).Gone
	later := slices.ContainsFunc(d.out.Events[e.Index+1:], func(x state.Event) bool { return x.Fastener == e.Fastener && x.Action.Verb == procedure.Fit })
	if is == was || later {
		return 0
	}
	for i := e.Index - 1; i >= 0; i-- {
		if x := &d.out.Events[i]; x.Fastener == e.Fastener && x.After.Fastener(x.Fastener).Gone != x.Before.Fastener(x.Fastener).Gone {
			if x.Action.Verb == procedure.Fit {
				was = 0 // what was out before and never went in goes in with these
			}
			break
		}
	}
	return int(is - was)
}

// loosened returns the event that loosened the fastener for good; nil when it is
// tight at the end or came out without being loosened before.
func (d *derivation) loosened(f *state.Fastener) *state.Event {
	if d.end.Fastener(f).Is == state.Tight {
		return nil
	}
	for i := len(d.out.Events) - 1; i >= 0; i-- {
		e := &d.out.Events[i]
		if e.Fastener != f {
			continue
		}
		if e.Before.Fastener(f).Is == state.Tight && e.After.Fastener(f).Is != state.Tight {
			if e.Action.Verb == procedure.Loosen {
				return e
			}
			return nil
		}
	}
	return nil
}

// tightenUnloosened adds, at the end of what turns a step round, the tightening of
// fasteners that the step took out in one go.
func (d *derivation) tightenUnloosened(home int, events []state.Event) {
	for i := range events {
		e := &events[i]
		f := e.Fastener
		if f == nil || f.Brought || f.Bench != nil || d.declared[&f.Row] || e.Action.Verb != procedure.Remove || f.TightAtOnce() {
			continue
		}
		if d.end.Fastener(f).Last == int32(e.Index) && d.outFor(e) > 0 && d.loosened(f) == nil {
			d.put(procedure.Tighten, e, home)
		}
	}
}

func (d *derivation) part(e *state.Event, home int) {
	p := e.Part
	at := d.end.Part(p)
	switch {
	case p.Brought && e.Action.Verb == procedure.Fit:
		if !d.fitsLater(e) {
			d.put(procedure.Remove, e, home)
		}
	case e.Action.Verb == procedure.Hang:
		// A support that was on when the part left, or still is, comes away here.
		if with := d.stillOn(e); len(with) > 0 {
			d.put(procedure.Release, e, home, with...)
		}
	case at.Is == state.InPlace:
	case d.departure(p) == e:
		d.partBack(e, home)
	case d.released(p) == e:
		d.hang(d.departure(p), p, e, home, e.Action.Object)
	}
}

// hang puts back on what carried the part when it came off, at the same places.
func (d *derivation) hang(off *state.Event, p *state.Part, of *state.Event, home int, object procedure.Ref) {
	at := off.Before.Part(p)
	all := carriers(off, p)
	var one []procedure.Ref
	for i, r := range all {
		one = append(one, r)
		by := at.PutBy[i]
		placed := by.At != "" || by.Hook != ""
		if i+1 < len(all) && (at.PutBy[i+1] == by || !placed && at.PutBy[i+1].At == "" && at.PutBy[i+1].Hook == "") {
			continue // acts that state no places are one
		}
		a := &act{verb: procedure.Hang, object: object, with: one, of: of, home: home}
		if placed && len(one) == len(by.With) {
			a.placed = by
		}
		d.acts, one = append(d.acts, a), nil
	}
}

// partBack turns round the action with which a part came off, and what hung together with it.
func (d *derivation) partBack(off *state.Event, home int) {
	var gear []procedure.Ref
	for _, q := range off.Moved {
		with := carriers(off, q)
		for _, r := range with {
			can := d.out.Assembly.Support(r.ID).Ability()
			if (can.Raises || can.Between) && !slices.ContainsFunc(gear, func(g procedure.Ref) bool { return g.ID == r.ID }) {
				gear = append(gear, r)
			}
		}
		if len(with) > 0 && d.end.Part(q).Is == state.Off && d.released(q) == nil {
			// Held by hand, or carried off a jack: nobody had to release it.
			d.hang(off, q, off, home, procedure.Ref{ID: q.ID, Span: off.Action.Object.Span})
		}
	}
	if off.Action.Verb == procedure.Lift && d.end.Part(off.Part).Is != state.Lifted {
		d.put(procedure.Lift, off, home, gear...)
	}
	d.put(procedure.Fit, off, home)
}

// departure returns the event with which the part came off for good, by itself or with another; nil when none did.
func (d *derivation) departure(p *state.Part) *state.Event {
	for i := len(d.out.Events) - 1; i >= 0; i-- {
		if e := &d.out.Events[i]; e.Part != nil && e.Departs() && slices.Contains(e.Moved, p) {
			return e
		}
	}
	return nil
}

// carriers names the supports that carried the part when it came off.
func carriers(off *state.Event, p *state.Part) []procedure.Ref {
	var out []procedure.Ref
	for _, x := range off.Before.Part(p).Carriers {
		out = append(out, procedure.Ref{ID: x.ID, Span: off.Action.Object.Span})
	}
	return out
}

// released returns the last event that released the part after it came off; nil when none did.
func (d *derivation) released(p *state.Part) *state.Event {
	off := d.departure(p)
	if off == nil {
		return nil
	}
	for i := len(d.out.Events) - 1; i > off.Index; i-- {
		if e := &d.out.Events[i]; e.Part == p && e.Action.Verb == procedure.Release {
			return e
		}
	}
	return nil
}

// stillOn returns those of a hang event's supports that were on the part when it
// left its place for good, or that are on it at the end while it is in place.
func (d *derivation) stillOn(e *state.Event) []procedure.Ref {
	then := d.end.Part(e.Part)
	if then.Is != state.InPlace {
		off := d.departure(e.Part)
		if off == nil || off.Index < e.Index {
			return nil // put on while the part was away
		}
		then = off.Before.Part(e.Part)
	}
	var out []procedure.Ref
	for _, x := range e.Supports {
		if !slices.Contains(then.Carriers, x) || slices.Contains(e.Before.Part(e.Part).Carriers, x) {
			continue
		}
		// Of several times that it was put on, the last counts.
		again := slices.ContainsFunc(d.out.Events[e.Index+1:], func(y state.Event) bool {
			return y.Part == e.Part && y.Action.Verb == procedure.Hang && slices.Contains(y.Supports, x) &&
				y.Before.Part(y.Part).Is == state.InPlace && !slices.Contains(y.Before.Part(y.Part).Carriers, x)
		})
		if !again {
			out = append(out, procedure.Ref{ID: x.ID, Span: e.Action.Object.Span})
		}
	}
	return out
}
