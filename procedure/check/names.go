package check

import (
	"maps"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

func quote(s string) string { return `"` + s + `"` }

var kindWords = map[procedure.ThingKind]string{
	procedure.FastenerThing: "fastener", procedure.PartThing: "part", procedure.ConnectionThing: "connection",
	procedure.FluidThing: "fluid", procedure.SupportThing: "support", procedure.ConditionThing: "condition",
	procedure.ToolThing: "tool",
}

var anyThing = []procedure.ThingKind{
	procedure.FastenerThing, procedure.PartThing, procedure.ConnectionThing, procedure.FluidThing,
	procedure.SupportThing, procedure.ConditionThing, procedure.ToolThing,
}

func kindList(kinds []procedure.ThingKind) string {
	var words []string
	for _, k := range kinds {
		words = append(words, kindWords[k])
	}
	if len(words) == len(anyThing) {
		return "thing"
	}
	if n := len(words) - 1; n > 0 {
		return strings.Join(words[:n], ", ") + " or " + words[n]
	}
	return strings.Join(words, "")
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
		report(diagnostic.Diagnostic{
			Span: ref.Span, Message: "the machine " + quote(m.ID) + " has no " + kindList(kinds) + " " + quote(ref.ID),
			Do: diagnostic.Suggest(ref.ID, rowNames(m, kinds...), "Register it, or correct the name."),
		})
	}
	return t
}
