package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var lookAlike = Check{
	Rule: diagnostic.Rule{
		Code: "look-alike", Severity: diagnostic.Warning, Title: "Look-alike connections without a mark",
		Wrong: "Two connections of one kind on the same part come off, and one of them is not marked.",
		Why:   "Two like plugs fit each other's sockets. Swapped, the machine reads wrong values or runs backward.",
		Do:    "State a mark in the register, and mark the connection before it comes off.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			c := e.Connection
			if c == nil || e.Action.Verb != procedure.Disconnect || c.Mark != "" || c.Kind == "" || e.Before.Connection(c).Marked {
				return
			}
			other := find(f, 0, func(x *state.Event) bool {
				return x.Connection != nil && x.Connection != c && x.Action.Verb == procedure.Disconnect && x.Connection.Kind == c.Kind &&
					slices.ContainsFunc(x.Connection.Parts, func(p *state.Part) bool { return slices.Contains(c.Parts, p) && !p.Base })
			})
			if other != nil {
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("the %condition and the %connection are both of the kind %kind, and the %condition comes off without a mark", say.Name(c.ID), say.Name(other.Connection.ID), say.Word(c.Kind)),
					Advice: say.That("State a mark for it, and write mark %condition before step %step.", say.Name(c.ID), number(e)), See: append(see(other, say.That("the other one comes off here")), registered(&c.Row)),
				})
			}
		})
	},
}
