package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
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
				_, row := t.Register()
				procedure.EachField(row, c.field)
			}
			for _, x := range m.Energies {
				procedure.EachField(x, c.field)
			}
			for _, t := range m.Tools {
				for _, r := range t.Use.Things {
					c.one(r, anyThing...)
				}
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

// field looks up the names in a field of a row.
func (c rowReferences) field(f *procedure.Field, value any) {
	switch v := value.(type) {
	case *procedure.Ref:
		c.one(*v, kindsIn(f)...)
	case *[]procedure.Ref:
		if f.Refers == "variant" {
			variants(c.m, *v, c.report)
			return
		}
		for _, r := range *v {
			c.one(r, kindsIn(f)...)
		}
	}
}

// one reports a name that is not registered, or names a thing of another kind.
func (c rowReferences) one(ref procedure.Ref, kinds ...procedure.ThingKind) {
	t := lookUp(c.m, ref, c.report, kinds...)
	if t == nil || slices.Contains(kinds, t.Kind) {
		return
	}
	c.report(diagnostic.Diagnostic{
		Span: ref.Span, Wrong: say.That("%ref is a %kind; a %kinds must stand here", say.Quote(ref.ID), kindWords[t.Kind], kindList(kinds)),
		Advice: say.That("Name a %kinds.", kindList(kinds)), See: []diagnostic.Related{{Span: t.Row.Span, Says: say.That("registered here")}},
	})
}

func (c rowReferences) balloons(figures []*procedure.Figure) {
	for _, f := range figures {
		for _, b := range f.Balloons {
			c.one(b.Ref, procedure.FastenerThing, procedure.PartThing, procedure.ConnectionThing, procedure.FluidThing, procedure.SupportThing, procedure.ToolThing)
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
			unknownName(r, names, report, say.That("the machine %machine has no variant %name", say.Quote(m.ID), say.Quote(r.ID)),
				say.That("Register the variant, or correct the name."))
		}
	}
}
