package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var supportLeftOn = Check{
	Rule: diagnostic.Rule{
		Code: "support-left-on", Severity: diagnostic.Warning, Title: "Lifting gear left on at the end",
		Wrong: "At the end of the job lifting gear is still on a part that stands somewhere else.",
		Why:   "Someone moves the crane and takes the part along.",
		Do:    "Release the part from the lifting gear once it stands safely.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		end := f.Trace.End()
		for _, p := range f.Trace.Assembly.Parts {
			at := end.Part(p)
			if at.Is != state.Down || len(at.Carriers) == 0 {
				continue
			}
			down := f.Trace.Event(at.Last)
			var gear []string
			for _, x := range at.Carriers {
				gear = append(gear, x.ID)
			}
			d := diagnostic.Diagnostic{
				Span: f.Job.Procedure.Span, Wrong: say.That("%carriers %carriers(is|are) still on the %part at the end", supports(at.Carriers), say.Name(p.ID)),
				Advice: say.That("Once the part stands safely, write: release %part from %gear.", say.Name(p.ID), say.Each[say.Name](say.Commas, gear)),
			}
			if down != nil {
				d.Span = object(down)
			}
			report(d)
		}
	},
}
