package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var isolationUnmade = Check{
	Rule: diagnostic.Rule{
		Code: "isolation-unmade", Severity: diagnostic.Error, Title: "Condition that nothing has made",
		Wrong: "A condition is established while nothing of what its column by names is done, or proved while some of it is not.",
		Why:   "It is called unplugged, and the plug is in.",
		Do:    "Write the acts before: disconnect the plug or the valve, loosen or remove the bleed, take the part off.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			c := e.Condition
			if c == nil || len(c.By) == 0 || e.Action.Verb != procedure.Establish && e.Action.Verb != procedure.Verify {
				return
			}
			var undone []procedure.Ref
			for _, r := range c.By {
				if !made(e.Before, r.ID) {
					undone = append(undone, r)
				}
			}
			if len(undone) == 0 || e.Action.Verb == procedure.Establish && len(undone) < len(c.By) {
				return
			}
			first := undone[0]
			later := find(f, e.Index, func(x *state.Event) bool { return x.Action.Object.ID == first.ID && made(x.After, first.ID) })
			does := say.That("established")
			if e.Action.Verb == procedure.Verify {
				does = say.That("proved")
			}
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("%condition is %does in step %step, but of %thing, by which it is made: %when", say.Name(c.ID), does, number(e), say.Name(first.ID), when(e, later, say.That("that is done only"), say.That("that is never done"))),
				Advice: say.That("Write the act on %thing before.", say.Name(first.ID)), See: append(see(later, say.That("here")), registered(&c.Row)),
			})
		})
	},
}

// made reports whether what makes a condition is done: the connection is apart, the fastener loose or out, the part off. What the variant lacks is not asked for.
func made(s *state.State, id string) bool {
	switch a := s.Assembly; {
	case a.Connection(id) != nil:
		return s.Connection(a.Connection(id)).Apart
	case a.Fastener(id) != nil:
		return s.Fastener(a.Fastener(id)).Is != state.Tight
	case a.Part(id) != nil:
		return s.Part(a.Part(id)).Is != state.InPlace
	}
	return true
}
