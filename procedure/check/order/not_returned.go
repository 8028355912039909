package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/state"
)

// notReturned is not a Check: it compares two traces.
var notReturned = diagnostic.Rule{
	Code: "not-returned", Severity: diagnostic.Error, Title: "Something does not go back",
	Wrong: "After the job and its way back the machine is not as it was at the start.",
	Why:   "A bag with one bolt in it, a hose without its clamp: found on the floor, or by the baker.",
	Do:    "Complete the steps of the way back, or declare out what stays out.",
}

// returned proves that the way back brings the machine back to where the job began.
func returned(out, back *state.Trace, add refit.Additions) []diagnostic.Diagnostic {
	var all []diagnostic.Diagnostic
	for _, x := range refit.Missing(out, back, add) {
		d := diagnostic.Diagnostic{
			Code: notReturned.Code, Severity: notReturned.Severity, Span: back.Job.Procedure.Span,
			Message: "on the way back: " + x.Row.ID + " was " + x.Was + " at the start and is " + x.Is + " at the end",
			Do:      "Put it back in a step of the way back, or declare it out.", See: []diagnostic.Related{registered(x.Row)},
		}
		if e := back.Event(x.Last); e != nil {
			d.Span = object(e)
		}
		all = append(all, d)
	}
	return all
}
