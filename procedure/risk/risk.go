// Package risk lists what each step of a job can do to people, and what the procedure says is done about it: the facts of a risk
// assessment. It takes them from the registers, the acts and the cautions alone, and rates nothing: what it does not find may be there all the same.
package risk

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/contact"
	"matchmark/procedure/hazard"
	"matchmark/procedure/lifts"
	"matchmark/procedure/state"
)

// Risk is one thing that can hurt somebody in one step.
type Risk struct {
	Step *procedure.Step
	// Row is whose hazard it is, and Words how the row states it; a load that is lifted has no words.
	Row   *procedure.Row
	Words string
	// Left is how the row rates what is left; empty when it does not.
	Left string
	// Lift is set for a load that is lifted.
	Lift *lifts.Lift
	// Done is what the procedure does about it.
	Done Measures
}

// Measures are what a procedure does about a risk.
type Measures struct {
	// Warned are the cautions in the step that speak of it.
	Warned []*procedure.Caution
	// Worn is what is good against it in the step's tools: protection, and what keeps floors dry and hands clean.
	Worn []*procedure.Row
	// Gear is what a load hangs from or stands on.
	Gear []*procedure.Row
	// Barred are the conditions that keep people out of the zone of a load.
	Barred []*procedure.Row
	// Hold is the hold point that the step stands behind; nil for none.
	Hold *procedure.Hold
}

// None reports whether nothing is said to be done.
func (m *Measures) None() bool {
	return len(m.Warned)+len(m.Worn)+len(m.Gear)+len(m.Barred) == 0 && m.Hold == nil
}

// Of lists the risks of a job's steps in the order of the steps: what is touched, and what is lifted.
func Of(job *analysis.Job) []Risk {
	var out []Risk
	events := eventsOf(job)
	lifted := job.Lifts()
	for i, s := range job.Steps {
		var before *procedure.Hold
		if i > 0 {
			before = state.Hold(job.Steps[i-1])
		}
		out = append(out, touched(job, s, events[s.ID], before)...)
		for j := range lifted {
			if l := &lifted[j]; l.Step.ID == s.ID {
				out = append(out, ofLift(job, s, l, events[s.ID], before))
			}
		}
	}
	return out
}

// eventsOf are the events of each step, of all ways through the job.
func eventsOf(job *analysis.Job) map[string][]*state.Event {
	out := map[string][]*state.Event{}
	for _, way := range job.Ways() {
		t := way.Trace()
		for i := range t.Events {
			e := &t.Events[i]
			out[e.Step.ID] = append(out[e.Step.ID], e)
		}
	}
	return out
}

// touched are the risks of what a step's acts bring people close to, each thing once.
func touched(job *analysis.Job, s *procedure.Step, events []*state.Event, before *procedure.Hold) []Risk {
	var out []Risk
	for _, e := range events {
		for _, c := range contact.Of(job.Machine, s, e.Action) {
			i := slices.IndexFunc(out, func(r Risk) bool { return r.Row == c.Row })
			if i < 0 {
				i = len(out)
				out = append(out, Risk{Step: s, Row: c.Row, Words: c.Words, Left: job.Machine.Thing(c.Row.ID).Risk(), Done: Measures{Hold: before, Warned: warnings(s, c)}})
			}
			done := &out[i].Done
			done.Worn = worn(job.Machine, s, c.Needs, done.Worn)
		}
	}
	return out
}

// warnings are the step's cautions that are about the thing or its act, or speak of the kind of hazard.
func warnings(s *procedure.Step, c contact.Contact) []*procedure.Caution {
	kinds := hazard.Read(c.Words)
	return cautions(s, func(w *procedure.Caution) bool {
		about := func(r procedure.Ref) bool { return r.ID == c.Row.ID || r.ID == c.Action.Object.ID }
		says := func(k hazard.Kind) bool { return hazard.Said(w.Prose.Plain(), k) }
		return slices.ContainsFunc(w.About, about) || slices.ContainsFunc(kinds, says)
	})
}

func cautions(s *procedure.Step, which func(*procedure.Caution) bool) []*procedure.Caution {
	var out []*procedure.Caution
	for _, b := range s.Blocks {
		if w := b.Shows().Warning; w != nil && which(w) {
			out = append(out, w)
		}
	}
	return out
}

// worn adds the protection of the step that meets one of the needs.
func worn(m *procedure.Machine, s *procedure.Step, needs []hazard.Need, to []*procedure.Row) []*procedure.Row {
	for _, r := range s.Tools {
		t := m.Thing(r.ID)
		if t == nil || t.Tool == nil || slices.Contains(to, t.Row) {
			continue
		}
		if slices.ContainsFunc(needs, func(n hazard.Need) bool { return contact.Protects(t.Tool, n) }) {
			to = append(to, t.Row)
		}
	}
	return to
}

// ofLift is the risk of a load: it falls, swings or is let go.
func ofLift(job *analysis.Job, s *procedure.Step, l *lifts.Lift, events []*state.Event, before *procedure.Hold) Risk {
	r := Risk{Step: s, Row: &l.Part.Row, Left: l.Part.Risk, Lift: l, Done: Measures{Hold: before, Worn: worn(job.Machine, s, contact.Needs(job.Machine, s, l.Action), nil)}}
	r.Done.Warned = cautions(s, func(w *procedure.Caution) bool {
		words := w.Prose.Plain()
		about := slices.ContainsFunc(w.About, func(x procedure.Ref) bool { return x.ID == l.Part.ID })
		return about || hazard.Said(words, hazard.Falling) || hazard.Said(words, hazard.Heavy) || hazard.Said(words, hazard.Pinching)
	})
	for _, e := range events {
		if e.Action != l.Action {
			continue
		}
		for _, x := range e.Supports {
			if can := x.Ability(); can.Holds() && !can.Hands && !slices.Contains(r.Done.Gear, &x.Row) {
				r.Done.Gear = append(r.Done.Gear, &x.Row)
			}
		}
		for _, c := range e.Before.Assembly.Conditions {
			if c.BarsZone() && e.Before.Condition(c).Holds() && !slices.Contains(r.Done.Barred, &c.Row) {
				r.Done.Barred = append(r.Done.Barred, &c.Row)
			}
		}
	}
	return r
}
