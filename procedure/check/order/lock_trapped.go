package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
)

var lockTrapped = Check{
	Rule: diagnostic.Rule{
		Code: "lock-trapped", Severity: diagnostic.Error, Title: "Tab washer taken out from under its nut",
		Wrong: "A tab washer is taken out while the fastener that it locks is still in.",
		Why:   "The washer lies under the nut and cannot come off before it.",
		Do:    "Flatten the tab (loosen), take the nut off, then the washer.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Fastener == nil || e.Fastener.Kind != procedure.TabWasher || e.Action.Verb != procedure.Remove {
				return
			}
			for _, n := range e.Fastener.Locked {
				if !e.Before.Fastener(n).In() {
					continue
				}
				out := find(f, e.Index, func(x *state.Event) bool { return x.Fastener == n && x.Action.Verb == procedure.Remove })
				report(diagnostic.Diagnostic{
					Span: object(e), Message: "tab washer " + e.Fastener.ID + " comes out in " + step(e) + " while fastener " + n.ID + " is on it",
					Do: "Write loosen " + e.Fastener.ID + " to flatten the tab, and remove it after " + n.ID + ".", See: see(out, "it comes out only here"),
				})
			}
		})
	},
}
