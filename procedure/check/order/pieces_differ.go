package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var piecesDiffer = Check{
	Rule: diagnostic.Rule{
		Code: "pieces-differ", Severity: diagnostic.Error, Title: "Pieces do not add up",
		Wrong: "Some pieces of a fastener are removed, fitted or kept, and no such number of them is in or out.",
		Why:   "Whoever counts along at the bench takes out the one that carries, or looks for one that was never there.",
		Do:    "Count what is in before the step, and correct the number in front of `of`.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			x := e.Fastener
			if x == nil || e.Action.Some(x.Fastener) == 0 {
				return
			}
			n, out := e.Action.Count.N, int(e.Before.Fastener(x).Gone)
			left := x.Count - out
			switch e.Action.Verb {
			case procedure.Keep:
				// The step may take out the others after it says what stays, and put them back.
				for _, y := range f.Trace.Step(e.Step.Number - 1) {
					left = min(left, x.Count-int(y.After.Fastener(x).Gone))
				}
				if n == left {
					return
				}
			case procedure.Remove:
				if n <= left || left == 0 { // removed-twice says that all are out
					return
				}
			case procedure.Fit:
				if n <= out || out == 0 { // fitted-twice says that all are in
					return
				}
				left = out
			}
			says := say.That("%n of fastener %number come out in step %step, but only %left are in", say.Count(n), say.Name(x.ID), number(e), say.Count(left))
			switch e.Action.Verb {
			case procedure.Keep:
				says = say.That("%n of fastener %number are kept in step %step, but %left stay in", say.Count(n), say.Name(x.ID), number(e), say.Count(left))
			case procedure.Fit:
				says = say.That("%n of fastener %number are fitted in step %step, but only %left are out", say.Count(n), say.Name(x.ID), number(e), say.Count(left))
			}
			report(diagnostic.Diagnostic{
				Span: e.Action.Count.Span, Wrong: says, Advice: say.That("Write the number that there is: fastener %number has %count pieces.", say.Name(x.ID), say.Count(x.Count)),
				See: append(see(last(f, e), say.That("it was changed here")), registered(&x.Row)),
			})
		})
	},
}
