package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var torqueMissing = Check{
	Rule: diagnostic.Rule{
		Code: "torque-missing", Severity: diagnostic.Warning, Title: "Fastener without a torque",
		Wrong: "A threaded fastener is undone, and its row states neither a torque nor why there is none.",
		Why:   "At refitting somebody will guess.",
		Do:    "State the torque, or the reason in the no-torque column.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*state.Fastener]bool{}
		each(f, func(e *state.Event) {
			x := e.Fastener
			if x == nil || told[x] || !e.Works() || !x.Kind.Threaded() || !x.Torque.IsZero() || x.NoTorque != "" {
				return
			}
			told[x] = true
			report(diagnostic.Diagnostic{
				Span: x.Row.Span, Wrong: say.That("fastener %thing has no torque, and no reason why", say.Name(x.ID)),
				Advice: say.That("Fill in torque, or no-torque with the reason."), See: see(e, say.That("it is turned here")),
			})
		})
	},
}
