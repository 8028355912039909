package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
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
		for i, s := range f.Job.Steps {
			events := f.Trace.Step(i)
			next := 0
			for _, b := range s.Blocks {
				switch b := b.(type) {
				case *procedure.Callout:
					next += len(b.Actions)
				case *procedure.ActionList:
					next += len(b.Actions)
				case *procedure.Caution:
					for _, ref := range b.About {
						if e := actsOn(events[:next], ref.ID); e != nil {
							report(late(ref, e, "the caution about "+ref.ID+" stands after the action that it is about"))
						} else if after := f.Trace.Events[len(f.Trace.Events)-len(f.Trace.From(i))+next:]; actsOn(after, ref.ID) == nil {
							if e := actsOn(f.Trace.Events[:len(f.Trace.Events)-len(f.Trace.From(i))], ref.ID); e != nil {
								report(late(ref, e, "the caution about "+ref.ID+" stands in step "+s.ID+", but the last action on it is in "+step(e)))
							}
						}
					}
				}
			}
		}
	},
}

func late(ref procedure.Ref, e *state.Event, message string) diagnostic.Diagnostic {
	return diagnostic.Diagnostic{Span: ref.Span, Message: message, Do: "Move the caution in front of the action.", See: see(e, "the action is here")}
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
