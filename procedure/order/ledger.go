package order

import (
	"matchmark/procedure"
	"matchmark/procedure/state"
)

// ledger keeps, for everything that actions use and change, who changed it last
// and who has used it since. From that it adds edges to the graph: whoever uses a
// thing comes after the last change; whoever changes it comes after the last
// change and after all who used it as it was.
type ledger struct {
	trace *state.Trace
	graph *Graph
	// accounts has one entry for each aspect of each thing; see account.
	accounts []account
	// base holds the first account of each kind of thing and aspect.
	base [aspects + 1]int
	// stands holds the stands that cannot bear all that the job sets down on them at once.
	stands map[*state.Support]bool

	step   int               // the step that is walked through
	action *procedure.Action // nil for what the step as a whole needs
}

// aspect is one side of a thing that can be used and changed by itself.
type aspect int

const (
	fastenerTurned aspect = iota
	partPlaced
	connectionMade
	fluidLevel
	conditionHeld
	conditionProved
	supportUsed
	fastenerMarked
	partMarked
	connectionMarked
	aspects
)

// account is one aspect of one thing.
type account struct {
	changed entry
	used    []entry
}

// entry is a step and an action in it. The zero entry is nobody.
type entry struct {
	step   int // counted from 1
	action *procedure.Action
	kind   Kind
}

func newLedger(t *state.Trace, g *Graph) *ledger {
	l := &ledger{trace: t, graph: g, stands: map[*state.Support]bool{}}
	a := t.Assembly
	for i, n := range [aspects]int{
		fastenerTurned: len(a.Fasteners), partPlaced: len(a.Parts), connectionMade: len(a.Connections), fluidLevel: len(a.Fluids),
		conditionHeld: len(a.Conditions), conditionProved: len(a.Conditions), supportUsed: len(a.Supports),
		fastenerMarked: len(a.Fasteners), partMarked: len(a.Parts), connectionMarked: len(a.Connections),
	} {
		l.base[i+1] = l.base[i] + n
	}
	l.accounts = make([]account, l.base[aspects])
	load := map[*state.Support]float64{}
	for _, e := range t.Events {
		if e.Part != nil && e.Action.Verb == procedure.SetDown {
			for _, x := range e.Supports {
				load[x] += e.Before.Group(e.Part).Kg
			}
		}
	}
	for x, kg := range load {
		l.stands[x] = x.Kg > 0 && kg > x.Kg
	}
	return l
}

// uses notes that the current action relies on the thing as it is.
func (l *ledger) uses(as aspect, index int, row *procedure.Row, kind Kind) {
	x := &l.accounts[l.base[as]+index]
	if n := len(x.used); n > 0 && x.used[n-1].step == l.step+1 && x.used[n-1].kind == kind {
		return // once a step is enough
	}
	l.edge(x.changed, kind, row)
	x.used = append(x.used, entry{l.step + 1, l.action, kind})
}

// changes notes that the current action changes the thing.
func (l *ledger) changes(as aspect, index int, row *procedure.Row, kind Kind) {
	x := &l.accounts[l.base[as]+index]
	l.edge(x.changed, kind, row)
	for _, u := range x.used {
		if u.kind == Warned {
			l.edge(u, Warned, row)
		} else {
			l.edge(u, AsItWas, row)
		}
	}
	x.changed, x.used = entry{l.step + 1, l.action, kind}, x.used[:0]
}

// provides notes that the current action adds something that later ones rely on, and takes nothing away from earlier ones.
func (l *ledger) provides(as aspect, index int) {
	l.accounts[l.base[as]+index].changed = entry{l.step + 1, l.action, Same}
}

// edge adds an edge from an earlier entry to the current action.
func (l *ledger) edge(from entry, kind Kind, row *procedure.Row) {
	if from.step == 0 || from.step-1 == l.step {
		return
	}
	l.graph.Add(from.step-1, l.step, Reason{Kind: kind, Thing: row, From: from.action, To: l.action})
}

// walk goes through the steps in the author's order.
func (l *ledger) walk() {
	for i, s := range l.trace.Job.Steps {
		l.step, l.action = i, nil
		for _, ref := range s.Needs {
			if c := l.trace.Assembly.Condition(ref.ID); c != nil {
				l.uses(conditionHeld, c.Index, &c.Row, Needed)
			}
		}
		events, now := l.trace.Step(i), l.trace.Before(i)
		for _, b := range s.Blocks {
			shown := b.Shows()
			l.action = nil
			if shown.Warning != nil {
				for _, ref := range shown.Warning.About {
					l.thing(ref.ID, Warned)
				}
			}
			if n := len(shown.Actions); n > 0 {
				l.events(events[:n])
				events, now = events[n:], events[n-1].After
			}
			l.action = nil
			if shown.Looks != nil {
				l.thing(shown.Looks.Of.ID, Looked)
				l.bare(shown.Looks.Of.ID, now)
			}
			if shown.Readings != nil {
				l.thing(shown.Readings.Of.ID, Looked)
				l.bare(shown.Readings.Of.ID, now)
				l.seat(shown.Readings.Of.ID)
				l.running()
			}
		}
	}
}

func (l *ledger) events(events []state.Event) {
	for i := range events {
		l.action = events[i].Action
		l.event(&events[i])
	}
}

// bare notes that what would cover a thing is off while it is looked at. What is on is looked through, and may come off at any time.
func (l *ledger) bare(id string, now *state.State) {
	var covers []*state.Part
	if p := l.trace.Assembly.Part(id); p != nil {
		covers = p.Covers
	}
	if c := l.trace.Assembly.Connection(id); c != nil {
		covers = c.Covers
	}
	for _, u := range covers {
		if now.Part(u).Is != state.InPlace {
			l.uses(partPlaced, u.Index, &u.Row, Looked)
		}
	}
}

// seat notes that a part, or what a connection runs between, is measured as its fasteners hold it then: a belt's tension
// says nothing any more once the motor's feet are loose.
func (l *ledger) seat(id string) {
	var parts []*state.Part
	if p := l.trace.Assembly.Part(id); p != nil {
		parts = append(parts, p)
	}
	if c := l.trace.Assembly.Connection(id); c != nil {
		parts = append(parts, c.Parts...)
	}
	for _, p := range parts {
		for _, f := range p.Fasteners {
			l.uses(fastenerTurned, f.Index, &f.Row, Looked)
		}
	}
}

// running notes that a value is read while the machine runs, or while it does not: what stops it and what keeps its energy away stays as it is.
func (l *ledger) running() {
	for _, c := range l.trace.Assembly.Conditions {
		if c.Energy || len(c.RequiredBy) > 0 {
			l.uses(conditionHeld, c.Index, &c.Row, Looked)
		}
	}
}

// thing notes that the current step relies on a named thing as it is.
func (l *ledger) thing(id string, kind Kind) {
	a := l.trace.Assembly
	if f := a.Fastener(id); f != nil {
		l.uses(fastenerTurned, f.Index, &f.Row, kind)
	}
	if p := a.Part(id); p != nil {
		l.uses(partPlaced, p.Index, &p.Row, kind)
	}
	if c := a.Connection(id); c != nil {
		l.uses(connectionMade, c.Index, &c.Row, kind)
	}
	if f := a.Fluid(id); f != nil {
		l.uses(fluidLevel, f.Index, &f.Row, kind)
	}
	if c := a.Condition(id); c != nil {
		l.uses(conditionHeld, c.Index, &c.Row, kind)
	}
}
