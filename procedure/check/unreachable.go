package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

var unreachable = rule{
	diagnostic.Rule{
		Code: "unreachable", Severity: diagnostic.Warning, Title: "Nobody gets there",
		Wrong: "A block is for variants that its step is not for, or a thing is used on a variant that does not have it.",
		Why:   "A caution that shows on no variant warns nobody.",
		Do:    "Correct the variants of the step, the block or the row.",
	},
	func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine == nil {
				continue
			}
			for _, s := range p.WrittenSteps() {
				for _, b := range s.Blocks {
					unreachableBlock(p.Machine, s, b, report)
				}
			}
			for _, j := range p.Jobs() {
				missingOnVariant(j, report)
			}
		}
	},
}

func unreachableBlock(m *procedure.Machine, s *procedure.Step, b procedure.Block, report func(diagnostic.Diagnostic)) {
	if len(m.Variants) == 0 {
		return
	}
	for _, v := range m.Variants {
		if procedure.AppliesTo(s.Variants, v) && b.Applies(v) {
			return
		}
	}
	report(diagnostic.Diagnostic{
		Span: b.Place(), Message: "this is for no variant of its step", Do: "Correct the variant, or the step's variants.",
		See: []diagnostic.Related{{Span: s.Span, Why: "the step"}},
	})
}

// missingOnVariant reports actions on things that the job's variant does not have.
func missingOnVariant(j *procedure.Job, report func(diagnostic.Diagnostic)) {
	if j.Variant == nil {
		return
	}
	for _, s := range j.Steps {
		for _, a := range s.Actions() {
			for _, r := range append([]procedure.Ref{a.Object}, a.With...) {
				t := j.Machine.Thing(r.ID)
				if t == nil || j.Has(r.ID) {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: r.Span, Message: "the variant " + quote(j.Variant.ID) + " has no " + quote(r.ID),
					Do:  "Put the action into a variant block, or correct the row's variants.",
					See: []diagnostic.Related{{Span: t.Row.Span, Why: "registered here"}},
				})
			}
		}
	}
}
