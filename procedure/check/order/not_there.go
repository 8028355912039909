package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
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
					Span: object(e), Message: name(e) + " is out " + since(before) + "; there is nothing to " + string(e.Action.Verb),
					Do: "Move the action, or correct the number.", See: see(before, "it came out here"),
				})
			case procedure.Release:
				if e.Part == nil {
					return
				}
				on := e.Before.Part(e.Part).Carriers
				for _, x := range e.Supports {
					if !slices.Contains(on, x) {
						report(diagnostic.Diagnostic{
							Span: object(e), Message: "the " + x.ID + " is not on the " + e.Part.ID + " in " + step(e),
							Do: "Say which support comes away, or put it on before: support " + e.Part.ID + " with " + x.ID + ".",
						})
					}
				}
			}
		})
	},
}
