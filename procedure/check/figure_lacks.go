package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var figureLacks = rule{
	Rule: diagnostic.Rule{
		Code: "figure-lacks", Severity: diagnostic.Warning, Title: "Figure without the number",
		Wrong: "A fastener callout names a figure that has balloons, and none for a number of the callout.",
		Why:   "The learner looks for number 4 in a picture that does not show it.",
		Do:    "Name a figure that shows the number, or place its balloon.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		for _, b := range s.Blocks {
			shown := b.Shows()
			if len(shown.Actions) == 0 || shown.Figure == nil {
				continue
			}
			f := m.Figure(shown.Figure.ID)
			if f == nil || len(f.Balloons) == 0 || slices.ContainsFunc(f.Balloons, func(b procedure.Balloon) bool { return nothingSeen(m, b.Ref.ID) }) {
				continue // a figure of the procedure's own is the author's drawing for this step; a balloon on nothing was reported
			}
			for _, a := range shown.Actions {
				if shows(f, a.Object.ID) || m.Thing(a.Object.ID) == nil {
					continue
				}
				d := diagnostic.Diagnostic{
					Span: a.Object.Span, Wrong: say.That("the figure %figure does not show %thing", say.Quote(f.ID), say.Name(a.Object.ID)), Advice: say.That("Place its balloon, or name another figure."),
					See: []diagnostic.Related{{Span: shown.Figure.Span, Says: say.That("the figure is named here")}},
				}
				if i := slices.IndexFunc(m.Figures, func(x *procedure.Figure) bool { return shows(x, a.Object.ID) }); i >= 0 {
					d.Advice = say.That("Place its balloon, or name the figure %figure, which shows it.", say.Quote(m.Figures[i].ID))
				}
				report(d)
			}
		}
	}),
}

// nothingSeen reports whether a name is that of nothing that a figure can show.
func nothingSeen(m *procedure.Machine, id string) bool {
	t := m.Thing(id)
	return t == nil || t.Condition != nil
}

func shows(f *procedure.Figure, id string) bool {
	return slices.ContainsFunc(f.Balloons, func(b procedure.Balloon) bool { return b.Ref.ID == id })
}
