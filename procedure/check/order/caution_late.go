package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var cautionLate = Check{
	Rule: diagnostic.Rule{
		Code: "caution-late", Severity: diagnostic.Error, Title: "Caution after the action that it is about",
		Wrong: "A caution names a thing in about=, and stands after what is done to that thing.",
		Why:   "Learners do what they have read. A warning that comes after has warned nobody.",
		Do:    "Move the caution in front of the action.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		if f.Out != nil {
			loadsUnwarned(f, report)
		}
		for i, s := range f.Job.Steps {
			events := f.Trace.Step(i)
			next := 0
			for _, b := range s.Blocks {
				shown := b.Shows()
				if c := shown.Warning; c != nil {
					for _, ref := range c.About {
						if e := actsOn(events[:next], ref.ID); e != nil {
							report(late(ref, e, say.That("the caution about %ref stands after the action that it is about", say.Name(ref.ID))))
						} else if after := f.Trace.Events[len(f.Trace.Events)-len(f.Trace.From(i))+next:]; actsOn(after, ref.ID) == nil {
							if e := actsOn(f.Trace.Events[:len(f.Trace.Events)-len(f.Trace.From(i))], ref.ID); e != nil {
								report(late(ref, e, say.That("the caution about %ref stands in step %before, but the last action on it is in step %step", say.Name(ref.ID), say.Name(s.ID), number(e))))
							}
						}
					}
				}
				next += len(shown.Actions)
			}
		}
	},
}

// loadsUnwarned reports cautions about a load that stand after its lift, on a refitting whose lift has no caution before it.
func loadsUnwarned(f *Facts, report func(diagnostic.Diagnostic)) {
	each(f, func(e *state.Event) {
		if e.Part == nil || e.Action.Verb != procedure.Lift || warned(e) {
			return
		}
		for _, s := range f.Job.Steps[e.Step.Number-1:] {
			for _, b := range s.Blocks {
				c := b.Shows().Warning
				if c == nil {
					continue
				}
				for _, ref := range c.About {
					if ref.ID == e.Part.ID {
						report(late(ref, e, say.That("the caution about %ref stands after its lift in step %step", say.Name(ref.ID), number(e))))
						return
					}
				}
			}
		}
	})
}

func late(ref procedure.Ref, e *state.Event, message say.Text) diagnostic.Diagnostic {
	return diagnostic.Diagnostic{Span: ref.Span, Wrong: message, Advice: say.That("Move the caution in front of the action."), See: see(e, say.That("the action is here"))}
}

// actsOn returns the last of the events that does something to the named thing, or with it; nil when none does.
func actsOn(events []state.Event, id string) *state.Event {
	for i := range slices.Backward(events) {
		e := &events[i]
		named := e.Action.Object.ID == id || slices.ContainsFunc(e.Action.With, func(r procedure.Ref) bool { return r.ID == id })
		if named && (e.Changes() || e.Action.Verb == procedure.Verify) {
			return e
		}
	}
	return nil
}
