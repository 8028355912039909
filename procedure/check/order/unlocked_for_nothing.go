package order

import (
	"slices"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var unlockedForNothing = Check{
	Rule: diagnostic.Rule{
		Code: "unlocked-for-nothing", Severity: diagnostic.Warning, Title: "Lock undone, but nothing turned",
		Wrong: "A lock is undone, and the fastener that it locks is never turned.",
		Why:   "Either the next action is missing, or a tab washer is spent for nothing.",
		Do:    "Turn the locked fastener, or leave its lock alone.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Fastener == nil || len(e.Fastener.Locked) == 0 || !locks(e.Before, e.Fastener) || locks(e.After, e.Fastener) {
				return
			}
			turned := find(f, 0, func(x *state.Event) bool {
				return x.Fastener != nil && x.Works() && slices.Contains(e.Fastener.Locked, x.Fastener)
			})
			if turned == nil {
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("fastener %fastener is undone in step %step, but nothing turns %locked, which it locks", say.Name(e.Fastener.ID), number(e), fasteners(e.Fastener.Locked)),
					Advice: say.That("Turn %locked, or leave the lock alone.", fasteners(e.Fastener.Locked)), See: []diagnostic.Related{registered(&e.Fastener.Row)},
				})
			}
		})
	},
}
