package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var leftLoose = Check{
	Rule: diagnostic.Rule{
		Code: "left-loose", Severity: diagnostic.Error, Title: "Fitted but never tightened",
		Wrong: "A fastener is fitted and stays finger-tight to the end of the job.",
		Why:   "It looks done. It shakes loose in the first week.",
		Do:    "Tighten it, after all fasteners of the joint are in.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		end := f.Trace.End()
		for _, x := range f.Trace.Assembly.Fasteners {
			fit := f.Trace.Event(end.Fastener(x).Last)
			if end.Fastener(x).Is == state.Loose && fit != nil && fit.Action.Verb == procedure.Fit {
				report(diagnostic.Diagnostic{
					Span: object(fit), Wrong: say.That("fastener %thing is fitted in step %step but never tightened", say.Name(x.ID), number(fit)),
					Advice: say.That("Add: tighten %thing.", say.Name(x.ID)),
				})
			}
		}
	},
}
