package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/fitting"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/supplies"
)

var unusedRows = rule{
	Rule: diagnostic.Rule{
		Code: "unused-row", Severity: diagnostic.Warning, Title: "Registered but never used",
		Wrong: "A machine's row is used by no procedure, row or figure.",
		Why:   "A forgotten fastener is often a forgotten action.",
		Do:    "Use it, or take the row out.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		used := map[*procedure.Machine]map[string]bool{}
		for _, p := range lib.Procedures {
			if used[p.Machine] == nil {
				used[p.Machine] = map[string]bool{}
			}
			for _, id := range UsedBy(p) {
				used[p.Machine][id] = true
			}
		}
		for _, m := range lib.Machines {
			unusedOf(m, used[m], used[m] != nil, report)
		}
	},
}

// unusedOf reports the rows of a machine that neither its own rows nor its procedures use.
// worked is false when no procedure works on it.
func unusedOf(m *procedure.Machine, used map[string]bool, worked bool, report func(diagnostic.Diagnostic)) {
	if !worked {
		report(diagnostic.Diagnostic{
			Span: m.Span, Wrong: say.That("no procedure works on the machine %machine", say.Quote(m.ID)), Advice: say.That("Write one, or take the machine out."),
		})
		return
	}
	own := usedByRows(m)
	for _, t := range m.Things() {
		if t.Row.ID == "" || m.Taken(t.Row.Span) || used[t.Row.ID] || own[t.Row.ID] || t.Tool != nil && (turns(m, t.Tool) || bringsBack(t.Tool, used)) {
			continue
		}
		report(diagnostic.Diagnostic{
			Span: t.Row.Span, Wrong: say.That("the %kind %row is used nowhere", kindWords[t.Kind], say.Quote(t.Row.ID)), Advice: say.That("Use it, or take the row out."),
		})
	}
}

// turns reports whether a tool turns one of the machine's fasteners, by its drive or as a torque wrench:
// the lists of tools take it in wherever that is turned, named by a step or not.
func turns(m *procedure.Machine, tool *procedure.Tool) bool {
	return tool.Kind == procedure.HandTool && slices.ContainsFunc(m.Fasteners, func(f *procedure.Fastener) bool {
		return f.Torque.Dimension() == measure.Torque && supplies.Covers(tool, f.Torque) ||
			slices.ContainsFunc(tool.Use.Drives, func(d string) bool { return fitting.SameDrive(d, f.Drive) })
	})
}

// bringsBack reports whether a tool is kept for putting something back that a procedure takes off: the gasket that is
// fitted, the oil that is filled in. The derived refitting lists it then, though nobody wrote its name.
func bringsBack(tool *procedure.Tool, used map[string]bool) bool {
	back := []procedure.Verb{procedure.Fit, procedure.Tighten, procedure.Connect, procedure.Fill, procedure.Flush}
	return slices.ContainsFunc(tool.Use.Verbs, func(v procedure.Verb) bool { return slices.Contains(back, v) }) &&
		slices.ContainsFunc(tool.Use.Things, func(r procedure.Ref) bool { return used[r.ID] })
}

// usedByRows collects every name that the machine's own rows use.
func usedByRows(m *procedure.Machine) map[string]bool {
	used := map[string]bool{}
	mark := func(refs ...procedure.Ref) {
		for _, r := range refs {
			used[r.ID] = true
		}
	}
	for _, t := range m.Things() {
		_, row := t.Register()
		procedure.EachThing(row, mark)
	}
	return used
}

// UsedBy lists the names that a procedure uses of its machine's registers, each
// once, in the order met. Names that are not registered may be among them.
func UsedBy(p *procedure.Procedure) []string {
	var out []string
	seen := map[string]bool{}
	mark := func(refs ...procedure.Ref) {
		for _, r := range refs {
			if !seen[r.ID] {
				seen[r.ID] = true
				out = append(out, r.ID)
			}
		}
	}
	for _, s := range p.WrittenSteps() {
		s.EachThing(mark)
	}
	return out
}

var unusedFigures = rule{
	Rule: diagnostic.Rule{
		Code: "unused-figure", Severity: diagnostic.Warning, Title: "Figure never shown",
		Wrong: "A figure is shown in no step and no question.",
		Why:   "A picture that was drawn for a step and is not shown there helps nobody.",
		Do:    "Show it with {figure=name}, or take it out.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		shown := map[*procedure.Figure]bool{}
		quizzes := quizzesOn(lib.Quizzes)
		for _, p := range lib.Procedures {
			for _, f := range ShownBy(p, quizzes[p]) {
				shown[f] = true
			}
		}
		unused := func(m *procedure.Machine, figures []*procedure.Figure) {
			for _, f := range figures {
				if !shown[f] && !(m != nil && m.Taken(f.Span)) {
					neverShown(f, report)
				}
			}
		}
		for _, m := range lib.Machines {
			unused(m, m.Figures)
		}
		for _, p := range lib.Procedures {
			unused(nil, p.Figures)
		}
	},
}

// ShownBy lists the figures that a procedure and those of the quizzes that are on it show.
func ShownBy(p *procedure.Procedure, quizzes []*procedure.Quiz) []*procedure.Figure {
	var out []*procedure.Figure
	show := func(id string) {
		if f := p.Figure(id); f != nil {
			out = append(out, f)
		}
	}
	for _, s := range p.WrittenSteps() {
		for _, id := range s.FigureNames() {
			show(id)
		}
	}
	for _, q := range quizzes {
		if q.Procedure == p {
			for _, x := range q.Questions {
				show(x.Figure.ID)
			}
		}
	}
	return out
}

func neverShown(f *procedure.Figure, report func(diagnostic.Diagnostic)) {
	report(diagnostic.Diagnostic{Span: f.Span, Wrong: say.That("the figure %figure is never shown", say.Quote(f.ID)), Advice: say.That("Show it with {figure=%figure}, or take it out.", say.Name(f.ID))})
}
