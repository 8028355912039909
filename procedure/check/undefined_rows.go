package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

var undefinedRows = rule{
	Rule: diagnostic.Rule{
		Code: "undefined-row", Severity: diagnostic.Error, Title: "Register names a thing that is not there",
		Wrong: "A row or a balloon of a machine names a part, fastener, condition, fluid, tool or variant that the machine does not have.",
		Why:   "A fastener that joins a part nobody registered holds nothing, and the order check cannot see it.",
		Do:    "Correct the name, or register the thing.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			c := rowReferences{m, report}
			for _, t := range m.Things() {
				c.variants(t.Row.Variants)
			}
			for _, p := range m.Parts {
				c.all(p.Under, procedure.PartThing)
				c.one(p.Twin, procedure.PartThing)
			}
			for _, f := range m.Fasteners {
				c.all(f.Joins, procedure.PartThing)
				c.all(f.Locks, procedure.FastenerThing)
			}
			for _, x := range m.Connections {
				c.all(x.Joins, procedure.PartThing)
				c.all(x.Needs, procedure.ConditionThing)
				c.one(x.Carries, procedure.FluidThing)
			}
			for _, x := range m.Fluids {
				c.one(x.Container, procedure.ToolThing)
			}
			for _, x := range m.Conditions {
				c.all(x.Needs, procedure.ConditionThing)
				c.all(x.LostBy, procedure.ConditionThing, procedure.ConnectionThing, procedure.FluidThing, procedure.PartThing)
			}
			c.balloons(m.Figures)
		}
		for _, p := range lib.Procedures {
			if p.Machine != nil {
				rowReferences{p.Machine, report}.balloons(p.Figures)
			}
		}
	},
}

type rowReferences struct {
	m      *procedure.Machine
	report func(diagnostic.Diagnostic)
}

func (c rowReferences) all(refs []procedure.Ref, kinds ...procedure.ThingKind) {
	for _, r := range refs {
		c.one(r, kinds...)
	}
}

// one reports a name that is not registered, or names a thing of another kind.
func (c rowReferences) one(ref procedure.Ref, kinds ...procedure.ThingKind) {
	t := lookUp(c.m, ref, c.report, kinds...)
	if t == nil || slices.Contains(kinds, t.Kind) {
		return
	}
	c.report(diagnostic.Diagnostic{
		Span: ref.Span, Message: quote(ref.ID) + " is a " + kindWords[t.Kind] + "; a " + kindList(kinds) + " must stand here",
		Do: "Name a " + kindList(kinds) + ".", See: []diagnostic.Related{{Span: t.Row.Span, Why: "registered here"}},
	})
}

func (c rowReferences) variants(refs []procedure.Ref) { variants(c.m, refs, c.report) }

func (c rowReferences) balloons(figures []*procedure.Figure) {
	for _, f := range figures {
		for _, b := range f.Balloons {
			c.one(b.Ref, procedure.FastenerThing, procedure.PartThing)
		}
	}
}

// variants reports names that are not variants of the machine.
func variants(m *procedure.Machine, refs []procedure.Ref, report func(diagnostic.Diagnostic)) {
	var names []string
	for _, v := range m.Variants {
		names = append(names, v.ID)
	}
	for _, r := range refs {
		if m.Variant(r.ID) == nil {
			report(diagnostic.Diagnostic{
				Span: r.Span, Message: "the machine " + quote(m.ID) + " has no variant " + quote(r.ID),
				Do: diagnostic.Suggest(r.ID, names, "Register the variant, or correct the name."),
			})
		}
	}
}
