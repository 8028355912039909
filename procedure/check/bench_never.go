package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var benchNever = rule{
	Rule: diagnostic.Rule{
		Code: "bench-never", Severity: diagnostic.Error, Title: "Unit that never stands on the bench",
		Wrong: "A row names, under `on-bench`, a base part or the part itself.",
		Why:   "A base part stays in the machine, and a part cannot be off before it comes off: what the row asks for never comes about.",
		Do:    "Name the unit that the thing is inside of and that is set down with it.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			base := func(r procedure.Ref) bool {
				return slices.ContainsFunc(m.Parts, func(p *procedure.Part) bool { return p.ID == r.ID && p.Base })
			}
			judge := func(row *procedure.Row, unit procedure.Ref) {
				switch {
				case unit.ID == "":
				case unit.ID == row.ID:
					report(diagnostic.Diagnostic{
						Span: unit.Span, Wrong: say.That("%part is to be off before it comes off", say.Name(row.ID)),
						Advice: say.That("Name the unit that it is inside of, or leave the cell empty."),
					})
				case base(unit):
					report(diagnostic.Diagnostic{
						Span: unit.Span, Wrong: say.That("the %unit is a base part and never stands on the bench, so %thing can never be worked on", say.Name(unit.ID), say.Name(row.ID)),
						Advice: say.That("Name the unit that comes off, or leave the cell empty."),
					})
				}
			}
			for _, x := range m.Parts {
				judge(&x.Row, x.OnBench)
			}
			for _, x := range m.Fasteners {
				judge(&x.Row, x.OnBench)
			}
			for _, x := range m.Connections {
				judge(&x.Row, x.OnBench)
			}
			for _, x := range m.Fluids {
				judge(&x.Row, x.OnBench)
			}
		}
	},
}
