package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var countDiffers = rule{
	Rule: diagnostic.Rule{
		Code: "count-differs", Severity: diagnostic.Error, Title: "Count differs from the register",
		Wrong: "An act says how many of a fastener it is about, and the register has fewer, or the verb takes all of them.",
		Why:   "Somebody counts to four at the bench, and the fifth bolt stays in.",
		Do:    "Correct the count, in front of `of`, or the row. Some of the pieces can be removed, fitted or kept.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine == nil {
				continue
			}
			for _, s := range p.WrittenSteps() {
				for _, a := range s.Actions() {
					if a.Count.N > 0 {
						compareCount(p.Machine, a, report)
					}
				}
			}
		}
	},
}

// compareCount compares the count of an act with the fastener's row.
func compareCount(m *procedure.Machine, a *procedure.Action, report func(diagnostic.Diagnostic)) {
	t := m.Thing(a.Object.ID)
	switch {
	case t == nil: // reported as undefined
	case t.Fastener == nil:
		report(diagnostic.Diagnostic{Span: a.Count.Span, Wrong: say.That("%name is no fastener, so it has no count", say.Quote(a.Object.ID)),
			Advice: say.That("Take the count out.")})
	case t.Fastener.Count != a.Count.N && a.Some(t.Fastener) == 0:
		report(diagnostic.Diagnostic{Span: a.Count.Span, Wrong: say.That("of fastener %number there are %registered, not %stated", say.Name(a.Object.ID), say.Count(t.Fastener.Count), say.Count(a.Count.N)),
			Advice: say.That("Write %registered of %number: the count stands in front, the callout number behind.", say.Count(t.Fastener.Count), say.Name(a.Object.ID)),
			See:    []diagnostic.Related{{Span: t.Row.Span, Says: say.That("registered here")}}})
	}
}
