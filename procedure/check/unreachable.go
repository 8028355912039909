package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

var unreachable = rule{
	Rule: diagnostic.Rule{
		Code: "unreachable", Severity: diagnostic.Warning, Title: "Nobody gets there",
		Wrong: "A block is for variants that its step is not for, or a thing is used on a variant that does not have it.",
		Why:   "A caution that shows on no variant warns nobody.",
		Do:    "Correct the variants of the step, the block or the row.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine == nil {
				continue
			}
			for _, s := range p.WrittenSteps() {
				for _, b := range s.Blocks {
					unreachableBlock(p.Machine, s, b, report)
				}
			}
			if len(p.Machine.Variants) == 0 {
				continue
			}
			for _, j := range p.Jobs() {
				missingOnVariant(j, report)
			}
		}
	},
}

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
		Span: b.Place(), Message: "this is for no variant of its step", Do: "Correct the variant, or the step's variants.",
		See: []diagnostic.Related{{Span: s.Span, Why: "the step"}},
	})
}

// known reports whether all variants that are named exist: one that does not is
// reported where it is named, and who gets there cannot be told.
func known(m *procedure.Machine, variants []procedure.Ref) bool {
	return !slices.ContainsFunc(variants, func(r procedure.Ref) bool { return m.Variant(r.ID) == nil })
}

// missingOnVariant reports actions on things that the job's variant does not have.
func missingOnVariant(j *procedure.Job, report func(diagnostic.Diagnostic)) {
	for _, s := range j.Steps {
		for _, a := range s.Actions() {
			for _, r := range append([]procedure.Ref{a.Object}, a.With...) {
				t := j.Machine.Thing(r.ID)
				if t == nil || j.Has(r.ID) || !known(j.Machine, t.Row.Variants) {
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
