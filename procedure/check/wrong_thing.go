package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var wrongThing = rule{
	Rule: diagnostic.Rule{
		Code: "wrong-thing", Severity: diagnostic.Error, Title: "Action done to the wrong kind of thing",
		Wrong: "An action names a thing that cannot be treated so, or that the variant does not have.",
		Why:   "A gearbox cannot be drained, its oil can; who reads it will guess.",
		Do:    "Name the thing that the verb is for.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		field := func(f *procedure.Field, value any) { wrongField(m, f, value, report) }
		for _, b := range s.Blocks {
			procedure.EachField(b, field)
		}
		procedure.EachField(s, field)
	}),
}

// wrongField looks at the names in a field of a step or of one of its blocks.
func wrongField(m *procedure.Machine, f *procedure.Field, value any, report func(diagnostic.Diagnostic)) {
	switch v := value.(type) {
	case *procedure.Ref:
		wrongKind(m, *v, kindsIn(f), f.Word, report)
	case *[]procedure.Ref:
		for _, r := range *v {
			wrongKind(m, r, kindsIn(f), f.Word, report)
		}
	case *[]*procedure.Action:
		wrongThings(m, *v, f, report)
	}
}

func wrongThings(m *procedure.Machine, actions []*procedure.Action, f *procedure.Field, report func(diagnostic.Diagnostic)) {
	callout := f.Refers != ""
	for _, a := range actions {
		rule, _ := a.Verb.Rule()
		kinds := rule.Objects
		if callout {
			kinds = kindsIn(f)
		}
		wrongKind(m, a.Object, kinds, string(a.Verb), report)
		if callout && !slices.Contains(rule.Objects, procedure.FastenerThing) {
			report(diagnostic.Diagnostic{
				Span: a.VerbSpan, Wrong: say.That("%verb is not done to fasteners", say.Quote(a.Verb)), Advice: say.That("Put it into an actions block."),
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
		Span: ref.Span, Wrong: say.That("%ref is a %kind; %use takes a %kinds", say.Quote(ref.ID), kindWords[t.Kind], say.Quote(use), kindList(kinds)),
		Advice: say.That("Name a %kinds.", kindList(kinds)), See: []diagnostic.Related{{Span: t.Row.Span, Says: say.That("registered here")}},
	})
}
