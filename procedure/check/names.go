package check

import (
	"maps"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var kindWords = map[procedure.ThingKind]say.Text{
	procedure.FastenerThing: say.That("fastener"), procedure.PartThing: say.That("part"), procedure.ConnectionThing: say.That("connection"),
	procedure.FluidThing: say.That("fluid"), procedure.SupportThing: say.That("support"), procedure.ConditionThing: say.That("condition"),
	procedure.ToolThing: say.That("tool"),
}

var anyThing = []procedure.ThingKind{
	procedure.FastenerThing, procedure.PartThing, procedure.ConnectionThing, procedure.FluidThing,
	procedure.SupportThing, procedure.ConditionThing, procedure.ToolThing,
}

func kindList(kinds []procedure.ThingKind) say.Part {
	if len(kinds) == len(anyThing) {
		return say.That("thing")
	}
	out := say.List{Join: say.Or}
	for _, k := range kinds {
		out.Parts = append(out.Parts, kindWords[k])
	}
	return out
}

// rowNames lists the names of the machine's things of the given kinds, for suggestions.
func rowNames(m *procedure.Machine, kinds ...procedure.ThingKind) []string {
	names := map[string]bool{}
	for _, t := range m.Things() {
		if len(kinds) == 0 || slices.Contains(kinds, t.Kind) {
			names[t.Row.ID] = true
		}
	}
	return slices.Sorted(maps.Keys(names))
}

// lookUp reports a name that is not registered, or is of another kind.
func lookUp(m *procedure.Machine, ref procedure.Ref, report func(diagnostic.Diagnostic), kinds ...procedure.ThingKind) *procedure.Thing {
	if ref.ID == "" {
		return nil
	}
	t := m.Thing(ref.ID)
	if t == nil {
		unknownName(ref, rowNames(m, kinds...), report,
			say.That("the machine %machine has no %kinds %name", say.Quote(m.ID), kindList(kinds), say.Quote(ref.ID)),
			say.That("Register it, or correct the name."))
	}
	return t
}

// unknownName reports a name that is none of those that are known, and suggests one that is near.
func unknownName(ref procedure.Ref, known []string, report func(diagnostic.Diagnostic), wrong, otherwise say.Text) {
	d := diagnostic.Diagnostic{Span: ref.Span, Wrong: wrong}
	d.Advice, d.Fixes = diagnostic.Suggest(ref.Span, ref.ID, known, otherwise)
	report(d)
}
