package order

import (
	"slices"

	"matchmark/procedure/analysis"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
)

// OnMachine returns the errors that a job has on a machine that stands in a given state, and does not have on
// a whole one, with the machine's way through the job from that state.
func OnMachine(j *analysis.Job, start *state.State) ([]diagnostic.Diagnostic, *state.Trace) {
	trace := state.From(start, j.Job)
	alone := onJob(j, all())
	there := rulesOn(&Facts{Job: j.Job, Trace: trace, precedence: j.Order}, all())
	return slices.DeleteFunc(there, func(d diagnostic.Diagnostic) bool {
		return d.Severity != diagnostic.Error || slices.ContainsFunc(alone, func(x diagnostic.Diagnostic) bool { return alike(d, x) })
	}), trace
}
