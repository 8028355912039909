package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

var wrongThing = rule{
	Rule: diagnostic.Rule{
		Code: "wrong-thing", Severity: diagnostic.Error, Title: "Action done to the wrong kind of thing",
		Wrong: "An action names a thing that cannot be treated so, or that the variant does not have.",
		Why:   "A gearbox cannot be drained, its oil can; who reads it will guess.",
		Do:    "Name the thing that the verb is for.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine == nil {
				continue
			}
			for _, s := range p.WrittenSteps() {
				for _, b := range s.Blocks {
					switch b := b.(type) {
					case *procedure.Callout:
						wrongThings(p.Machine, b.Actions, true, report)
					case *procedure.ActionList:
						wrongThings(p.Machine, b.Actions, false, report)
					}
				}
				for _, r := range s.Tools {
					wrongKind(p.Machine, r, []procedure.ThingKind{procedure.ToolThing}, "tools", report)
				}
				for _, r := range s.Needs {
					wrongKind(p.Machine, r, []procedure.ThingKind{procedure.ConditionThing}, "needs", report)
				}
			}
		}
	},
}

func wrongThings(m *procedure.Machine, actions []*procedure.Action, callout bool, report func(diagnostic.Diagnostic)) {
	for _, a := range actions {
		rule, _ := a.Verb.Rule()
		kinds := rule.Objects
		if callout {
			kinds = []procedure.ThingKind{procedure.FastenerThing}
		}
		wrongKind(m, a.Object, kinds, string(a.Verb), report)
		if callout && !slices.Contains(rule.Objects, procedure.FastenerThing) {
			report(diagnostic.Diagnostic{
				Span: a.VerbSpan, Message: quote(string(a.Verb)) + " is not done to fasteners", Do: "Put it into an actions block.",
			})
		}
		for _, w := range a.With {
			wrongKind(m, w, rule.With, string(a.Verb)+" "+rule.Word, report)
		}
	}
}

func wrongKind(m *procedure.Machine, ref procedure.Ref, kinds []procedure.ThingKind, use string, report func(diagnostic.Diagnostic)) {
	t := m.Thing(ref.ID)
	if t == nil || slices.Contains(kinds, t.Kind) {
		return
	}
	report(diagnostic.Diagnostic{
		Span: ref.Span, Message: quote(ref.ID) + " is a " + kindWords[t.Kind] + "; " + quote(use) + " takes a " + kindList(kinds),
		Do: "Name a " + kindList(kinds) + ".", See: []diagnostic.Related{{Span: t.Row.Span, Why: "registered here"}},
	})
}
