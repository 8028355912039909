package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var notThere = Check{
	Rule: diagnostic.Rule{
		Code: "not-there", Severity: diagnostic.Error, Title: "Action on a thing that is not there",
		Wrong: "A fastener is turned or kept that is out, or a support is taken from a part that it is not on.",
		Why:   "The action cannot be done. Most often the order is wrong, or another number is meant.",
		Do:    "Move the action, or correct the name.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			switch e.Action.Verb {
			case procedure.Loosen, procedure.Tighten, procedure.Keep:
				if e.Fastener == nil || e.Before.Fastener(e.Fastener).In() {
					return
				}
				before := last(f, e)
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("%thing is out %since; there is nothing to %verb", name(e), since(before), say.Word(e.Action.Verb)),
					Advice: say.That("Move the action, or correct the number."), See: see(before, say.That("it came out here")),
				})
			case procedure.Release:
				if e.Part == nil {
					return
				}
				on := e.Before.Part(e.Part).Carriers
				for _, x := range e.Supports {
					if !slices.Contains(on, x) {
						report(diagnostic.Diagnostic{
							Span: object(e), Wrong: say.That("the %thing is not on the %part in step %step", say.Name(x.ID), say.Name(e.Part.ID), number(e)),
							Advice: say.That("Say which support comes away, or put it on before: support %part with %thing.", say.Name(e.Part.ID), say.Name(x.ID)),
						})
					}
				}
			}
		})
	},
}
