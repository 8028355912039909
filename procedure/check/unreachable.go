package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var unreachable = rule{
	Rule: diagnostic.Rule{
		Code: "unreachable", Severity: diagnostic.Warning, Title: "Nobody gets there",
		Wrong: "A block is for variants that its step is not for, or a thing is used on a variant that does not have it.",
		Why:   "A caution that shows on no variant warns nobody.",
		Do:    "Correct the variants of the step, the block or the row.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		unreachableBlocks(lib, report)
		for _, p := range lib.Procedures {
			if p.Machine == nil || len(p.Machine.Variants) == 0 {
				continue
			}
			for _, v := range p.Machine.Variants {
				missingOnVariant(p, v, report)
			}
		}
	},
}

var unreachableBlocks = eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
	for _, b := range s.Blocks {
		unreachableBlock(m, s, b, report)
	}
})

func unreachableBlock(m *procedure.Machine, s *procedure.Step, b procedure.Block, report func(diagnostic.Diagnostic)) {
	if len(m.Variants) == 0 || !known(m, s.Variants) {
		return
	}
	anywhere := false
	for _, v := range m.Variants {
		if procedure.AppliesTo(s.Variants, v) && b.Applies(v) {
			return
		}
		anywhere = anywhere || b.Applies(v)
	}
	if !anywhere {
		return // its variants do not exist
	}
	report(diagnostic.Diagnostic{
		Span: b.Place(), Wrong: say.That("this is for no variant of its step"), Advice: say.That("Correct the variant, or the step's variants."),
		See: []diagnostic.Related{{Span: s.Span, Says: say.That("the step")}},
	})
}

// known reports whether all variants that are named exist: one that does not is
// reported where it is named, and who gets there cannot be told.
func known(m *procedure.Machine, variants []procedure.Ref) bool {
	return !slices.ContainsFunc(variants, func(r procedure.Ref) bool { return m.Variant(r.ID) == nil })
}

// missingOnVariant reports actions on things that a variant does not have, in the steps as they are written: no page of
// the variant shows them.
func missingOnVariant(p *procedure.Procedure, v *procedure.Variant, report func(diagnostic.Diagnostic)) {
	for _, s := range p.WrittenSteps() {
		if !procedure.AppliesTo(s.Variants, v) {
			continue
		}
		for _, b := range s.Blocks {
			if !b.Applies(v) {
				continue
			}
			for _, a := range b.Shows().Actions {
				for _, r := range append([]procedure.Ref{a.Object}, a.With...) {
					t := p.Machine.Thing(r.ID)
					if t == nil || procedure.AppliesTo(t.Row.Variants, v) || !known(p.Machine, t.Row.Variants) {
						continue
					}
					report(diagnostic.Diagnostic{
						Span: r.Span, Wrong: say.That("the variant %variant has no %name", say.Quote(v.ID), say.Quote(r.ID)),
						Advice: say.That("Put the action into a variant block, or correct the row's variants."),
						See:    []diagnostic.Related{{Span: t.Row.Span, Says: say.That("registered here")}},
					})
				}
			}
		}
	}
}
