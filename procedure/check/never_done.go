package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

var neverDone = rule{
	Rule: diagnostic.Rule{
		Code: "never-done", Severity: diagnostic.Error, Title: "Condition that never holds, or always",
		Wrong: "A step, a block or the end of a round asks for something and for its opposite, by itself or together with the step that it stands in; or it asks for one or the other, which is always so.",
		Why:   "Nobody ever comes to it, or it decides nothing, and nobody notices.",
		Do:    "Take one of the two out of the condition.",
	},
	run: everyProcedure(func(p *procedure.Procedure, _ *findings, report func(diagnostic.Diagnostic)) {
		told := func(span text.Span, what say.Text) {
			report(diagnostic.Diagnostic{Span: span, Wrong: what, Advice: say.That("Take one of the two out of the condition.")})
		}
		for _, s := range p.WrittenSteps() {
			if until := s.Round.Until; s.Round.First == s.ID && !canHold(until) {
				told(s.Round.Rounds.Span, say.That("the round goes on until %condition, and that is never so", say.Quote(string(until))))
			} else if s.Round.First == s.ID && alwaysHolds(until) {
				told(s.Round.Rounds.Span, say.That("the round goes on until %condition, and that is always so", say.Quote(string(until))))
			}
			if alwaysHolds(s.If) {
				told(s.Span, say.That("step %step is done only if %condition, and that is always so", say.Name(s.ID), say.Quote(string(s.If))))
			}
			if !canHold(s.If) {
				told(s.Span, say.That("step %step is done only if %condition, and that is never so", say.Name(s.ID), say.Quote(string(s.If))))
				continue
			}
			for _, b := range s.Blocks {
				if base := b.Base(); alwaysHolds(base.If) {
					told(base.Span, say.That("this is only for %condition, and that is always so", say.Quote(string(base.If))))
				} else if base.If != "" && !canHold(s.If, base.If) {
					told(base.Span, say.That("this is only for %condition, and in step %step that is never so", say.Quote(string(base.If)), say.Name(s.ID)))
				}
			}
		}
	}),
}

// alwaysHolds reports whether a condition holds whatever is found; no condition is none.
func alwaysHolds(c procedure.When) bool {
	return c != "" && procedure.Always([]procedure.When{c}, c.Holds)
}

// canHold reports whether all of the conditions can hold at once.
func canHold(all ...procedure.When) bool {
	ways := [][]procedure.Literal{nil}
	for _, c := range all {
		if c == "" {
			continue
		}
		var next [][]procedure.Literal
		for _, way := range ways {
			for _, more := range c.Cases() {
				both := slices.Concat(way, more)
				against := slices.ContainsFunc(both, func(l procedure.Literal) bool {
					return slices.Contains(both, procedure.Literal{Name: l.Name, Not: !l.Not})
				})
				if !against {
					next = append(next, both)
				}
			}
		}
		ways = next
	}
	return len(ways) > 0
}
