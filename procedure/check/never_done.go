package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var neverDone = rule{
	Rule: diagnostic.Rule{
		Code: "never-done", Severity: diagnostic.Error, Title: "Condition that never holds",
		Wrong: "A step or a block asks for something and for its opposite, by itself or together with the step that it stands in.",
		Why:   "Nobody ever comes to it, and nobody notices.",
		Do:    "Take one of the two out of the condition.",
	},
	run: everyProcedure(func(p *procedure.Procedure, _ *findings, report func(diagnostic.Diagnostic)) {
		for _, s := range p.Steps {
			if !canHold(s.If) {
				report(diagnostic.Diagnostic{
					Span: s.Span, Wrong: say.That("step %step is done only if %condition, and that is never so", say.Name(s.ID), say.Quote(string(s.If))),
					Advice: say.That("Take one of the two out of the condition."),
				})
				continue
			}
			for _, b := range s.Blocks {
				if base := b.Base(); base.If != "" && !canHold(s.If, base.If) {
					report(diagnostic.Diagnostic{
						Span: base.Span, Wrong: say.That("this is only for %condition, and in step %step that is never so", say.Quote(string(base.If)), say.Name(s.ID)),
						Advice: say.That("Take one of the two out of the condition."),
					})
				}
			}
		}
	}),
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
