package order

import (
	"matchmark/procedure"
	"matchmark/procedure/state"
)

// event enters what one action uses and changes.
func (l *ledger) event(e *state.Event) {
	if e.Works() {
		l.work()
	}
	switch {
	case e.Fastener != nil:
		l.fastener(e)
	case e.Part != nil:
		l.part(e)
	case e.Connection != nil:
		l.connection(e)
	case e.Fluid != nil:
		l.fluid(e)
	case e.Condition != nil:
		l.condition(e)
	}
	for _, c := range e.Lost {
		l.changes(conditionHeld, c.Index, &c.Row, Same)
		l.changes(conditionProved, c.Index, &c.Row, Same)
	}
}

// work enters what all work on the machine relies on: energy is kept away, and that is proved.
func (l *ledger) work() {
	for _, c := range l.trace.Assembly.Conditions {
		if !c.Energy {
			continue
		}
		l.uses(conditionHeld, c.Index, &c.Row, Needed)
		l.uses(conditionProved, c.Index, &c.Row, Proved)
	}
}

func (l *ledger) fastener(e *state.Event) {
	f := e.Fastener
	switch e.Action.Verb {
	case procedure.Mark:
		l.provides(fastenerMarked, f.Index)
		return
	case procedure.Inspect, procedure.Clean:
		l.uses(fastenerTurned, f.Index, &f.Row, Looked)
		return
	case procedure.Keep:
		l.uses(fastenerTurned, f.Index, &f.Row, Kept)
		return
	}
	for _, x := range f.Lockers {
		l.uses(fastenerTurned, x.Index, &x.Row, Locked)
	}
	for _, x := range f.Locked {
		l.uses(fastenerTurned, x.Index, &x.Row, Locked)
	}
	l.uses(fastenerMarked, f.Index, &f.Row, Marked)
	if e.Action.Verb == procedure.Fit {
		for _, p := range f.Parts {
			l.uses(partPlaced, p.Index, &p.Row, Seated)
		}
	}
	if e.Action.Verb == procedure.Remove || e.Action.Verb == procedure.Loosen {
		l.keptUntil(e)
		for _, x := range l.trace.Assembly.Fluids {
			for _, plug := range x.Plugs {
				if plug == f {
					l.uses(fluidLevel, x.Index, &x.Row, Emptied)
				}
			}
		}
	}
	l.changes(fastenerTurned, f.Index, &f.Row, Same)
}

// keptUntil ties a fastener that was kept to the step or condition that its reason mentions.
func (l *ledger) keptUntil(e *state.Event) {
	keep := l.trace.Event(e.Before.Fastener(e.Fastener).Kept)
	if keep == nil {
		return
	}
	for _, ref := range keep.Action.Reason.Mentions() {
		if c := l.trace.Assembly.Condition(ref.ID); c != nil {
			l.uses(conditionHeld, c.Index, &c.Row, Kept)
		} else if s := l.trace.Job.Step(ref.ID); s != nil && s.Number-1 < l.step {
			l.graph.Add(s.Number-1, l.step, Reason{Kind: Kept, Thing: &e.Fastener.Row, To: e.Action})
		}
	}
}

func (l *ledger) part(e *state.Event) {
	p := e.Part
	switch e.Action.Verb {
	case procedure.Mark:
		l.provides(partMarked, p.Index)
		return
	case procedure.Inspect, procedure.Clean:
		l.uses(partPlaced, p.Index, &p.Row, Looked)
		return
	case procedure.Hang, procedure.Release:
		for _, x := range e.Supports {
			l.changes(supportUsed, x.Index, &x.Row, OneSupport)
		}
		l.changes(partPlaced, p.Index, &p.Row, Same)
		return
	case procedure.SetDown:
		for _, x := range e.Supports {
			l.stand(x)
		}
	}
	for _, q := range e.Moved {
		l.moved(e, q)
	}
}

// moved enters what it takes to move one part: all that ties it, what covers it, its mark.
func (l *ledger) moved(e *state.Event, q *state.Part) {
	l.uses(partMarked, q.Index, &q.Row, Marked)
	for _, f := range q.Fasteners {
		l.uses(fastenerTurned, f.Index, &f.Row, Joined)
	}
	for _, c := range q.Connections {
		l.uses(connectionMade, c.Index, &c.Row, Joined)
	}
	for _, u := range q.Covers {
		l.uses(partPlaced, u.Index, &u.Row, Covered)
	}
	before := e.Before.Part(q)
	for _, x := range before.Carriers {
		l.uses(supportUsed, x.Index, &x.Row, OneSupport)
	}
	for _, x := range before.On {
		l.stand(x)
	}
	if before.Rides != nil {
		l.uses(partPlaced, before.Rides.Index, &before.Rides.Row, Seated)
	}
	l.changes(partPlaced, q.Index, &q.Row, Same)
}

// stand enters the use of a stand: one that bears all that the job sets down on it can take it in any order.
func (l *ledger) stand(x *state.Support) {
	if l.stands[x] {
		l.changes(supportUsed, x.Index, &x.Row, OneSupport)
	}
}

func (l *ledger) connection(e *state.Event) {
	c := e.Connection
	switch e.Action.Verb {
	case procedure.Mark:
		l.provides(connectionMarked, c.Index)
		return
	case procedure.Inspect, procedure.Clean:
		l.uses(connectionMade, c.Index, &c.Row, Looked)
		return
	case procedure.Disconnect:
		for _, n := range c.Conditions {
			l.uses(conditionHeld, n.Index, &n.Row, Needed)
		}
		l.uses(connectionMarked, c.Index, &c.Row, Marked)
		if c.Fluid != nil {
			l.uses(fluidLevel, c.Fluid.Index, &c.Fluid.Row, Emptied)
		}
	case procedure.Connect:
		for _, p := range c.Parts {
			l.uses(partPlaced, p.Index, &p.Row, Seated)
		}
	}
	l.changes(connectionMade, c.Index, &c.Row, Same)
}

func (l *ledger) fluid(e *state.Event) {
	x := e.Fluid
	if e.Action.Verb == procedure.Inspect {
		l.uses(fluidLevel, x.Index, &x.Row, Looked)
		return
	}
	if e.Action.Verb == procedure.Fill {
		for _, c := range x.Connections {
			l.uses(connectionMade, c.Index, &c.Row, Closed)
		}
		for _, f := range l.trace.Plugs(x) {
			l.uses(fastenerTurned, f.Index, &f.Row, Closed)
		}
	}
	l.changes(fluidLevel, x.Index, &x.Row, Same)
}

func (l *ledger) condition(e *state.Event) {
	c := e.Condition
	if e.Action.Verb != procedure.Undo {
		for _, n := range c.Requires {
			l.uses(conditionHeld, n.Index, &n.Row, Needed)
		}
	}
	switch e.Action.Verb {
	case procedure.Verify:
		l.uses(conditionHeld, c.Index, &c.Row, Needed)
		l.provides(conditionProved, c.Index)
	case procedure.Establish:
		for _, n := range c.Requires {
			if n.Energy && e.Before.Proved(n) {
				l.uses(conditionProved, n.Index, &n.Row, Proved)
			}
		}
		l.changes(conditionHeld, c.Index, &c.Row, Same)
	case procedure.Undo:
		l.changes(conditionHeld, c.Index, &c.Row, Same)
		l.changes(conditionProved, c.Index, &c.Row, Same)
	}
}
