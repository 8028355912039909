package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

// notReturned is not a Check: it compares two traces.
var notReturned = diagnostic.Rule{
	Code: "not-returned", Severity: diagnostic.Error, Title: "Something does not go back",
	Wrong: "After the job and its refitting the machine is not as it was at the start.",
	Why:   "A bag with one bolt in it, a hose without its clamp: found on the floor, or by the baker.",
	Do:    "Complete the steps of the refitting, or declare out what stays out.",
}

// returned proves that the refitting brings the machine back to where the job began.
func returned(out, back *state.Trace, add refit.Additions) []diagnostic.Diagnostic {
	var all []diagnostic.Diagnostic
	for _, x := range refit.Missing(out, back, add) {
		d := diagnostic.Diagnostic{
			Code: notReturned.Code, Severity: notReturned.Severity, Span: back.Job.Procedure.Span, Refitting: true,
			Wrong:  say.That("%row was %was at the start and is %state at the end", say.Name(x.Row.ID), say.Word(x.Was), say.Word(x.Is)),
			Advice: say.That("Put it back in a step of the refitting, or declare it out."), See: []diagnostic.Related{registered(x.Row)},
		}
		if e := back.Event(x.Last); e != nil {
			d.Span = object(e)
		}
		all = append(all, d)
	}
	return all
}
