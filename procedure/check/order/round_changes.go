package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var roundChanges = Check{
	Rule: diagnostic.Rule{
		Code: "round-changes", Severity: diagnostic.Error, Title: "Round that cannot be gone through again",
		Wrong: "A round leaves the machine otherwise than it found it.",
		Why:   "The second round would begin with what the first one took off already.",
		Do:    "Undo in the round what it does: loosen, shim, tighten, measure. Or move the act out of it.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		steps := f.Job.Steps
		for i, s := range steps {
			if s.Round.First == "" || i > 0 && steps[i-1].Round.First == s.Round.First {
				continue
			}
			last := i
			for last+1 < len(steps) && steps[last+1].Round.First == s.Round.First {
				last++
			}
			for _, d := range state.Differences(f.Trace.Before(i), f.Trace.After(last)) {
				at := s.Span
				if e := f.Trace.Event(d.Last); e != nil {
					at = object(e)
				}
				report(diagnostic.Diagnostic{
					Span: at, Wrong: say.That("the round begins with %thing %was and ends with it %is", say.Name(d.Row.ID), say.Word(d.Was), say.Word(d.Is)),
					Advice: say.That("Bring it back within the round, or move this out of it."),
				})
			}
		}
	},
}
