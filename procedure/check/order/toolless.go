package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/fitting"
	"matchmark/procedure/refit"
	"matchmark/procedure/text"
)

// toolless finds the acts of derived steps for which no tool can be filled in: what is taken out by a ratchet goes back by a
// torque wrench. What authors wrote is judged with their own steps, and what an act lacks on the way out is not said again.
func toolless(j *analysis.Job, add refit.Additions) []diagnostic.Diagnostic {
	told := map[text.Span]bool{}
	if out := j.Out(); out != nil {
		for _, s := range out.Job.Steps {
			_, faults := fitting.Tools(j.Machine, s)
			for _, x := range faults {
				told[x.Act.Object.Span] = true
			}
		}
	}
	var all []diagnostic.Diagnostic
	for _, s := range j.Steps {
		if slices.ContainsFunc(add.Steps, func(w *procedure.Step) bool { return w.ID == s.ID }) {
			continue
		}
		_, faults := fitting.Tools(j.Machine, s)
		for _, x := range faults {
			if told[x.Act.Object.Span] {
				continue
			}
			told[x.Act.Object.Span] = true
			d := x.Message(j.Machine)
			d.Severity, d.Refitting = diagnostic.Warning, true
			all = append(all, d)
		}
	}
	return all
}
