package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var beltSlack = Check{
	Rule: diagnostic.Rule{
		Code: "belt-slack", Severity: diagnostic.Warning, Title: "Belt or chain comes off without a condition",
		Wrong: "A belt or chain comes off, and its row names no condition that it needs, such as slack in the drive.",
		Why:   "A belt that is levered off under tension is spoilt, and it takes fingers along.",
		Do:    "Register a condition for the slack and name it in the needs column.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*state.Connection]bool{}
		each(f, func(e *state.Event) {
			c := e.Connection
			if c == nil || told[c] || e.Action.Verb != procedure.Disconnect || len(c.Needs) > 0 {
				return
			}
			if !drives(c) {
				return
			}
			told[c] = true
			report(diagnostic.Diagnostic{
				Span: c.Row.Span, Wrong: say.That("the %condition (%kind) needs no condition to come off", say.Name(c.ID), say.Word(c.Kind)),
				Advice: say.That("Name a condition such as slack in the needs column."), See: see(e, say.That("it comes off here")),
			})
		})
	},
}
