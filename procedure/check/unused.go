package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

var unusedRows = rule{
	diagnostic.Rule{
		Code: "unused-row", Severity: diagnostic.Warning, Title: "Registered but never used",
		Wrong: "A machine's row is used by no procedure, row or figure.",
		Why:   "A forgotten fastener is often a forgotten action.",
		Do:    "Use it, or take the row out.",
	},
	func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			used, any := usedNames(lib, m)
			if !any {
				report(diagnostic.Diagnostic{
					Span: m.Span, Message: "no procedure works on the machine " + quote(m.ID), Do: "Write one, or take the machine out.",
				})
				continue
			}
			for _, t := range m.Things() {
				if t.Row.ID == "" || used[t.Row.ID] {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: t.Row.Span, Message: "the " + kindWords[t.Kind] + " " + quote(t.Row.ID) + " is used nowhere", Do: "Use it, or take the row out.",
				})
			}
		}
	},
}

// usedNames collects every name that the machine's rows and its procedures use.
func usedNames(lib *procedure.Library, m *procedure.Machine) (used map[string]bool, any bool) {
	used = map[string]bool{}
	mark := func(refs ...procedure.Ref) {
		for _, r := range refs {
			used[r.ID] = true
		}
	}
	for _, p := range m.Parts {
		mark(p.Under...)
		mark(p.Twin)
	}
	for _, f := range m.Fasteners {
		mark(f.Joins...)
		mark(f.Locks...)
	}
	for _, x := range m.Connections {
		mark(x.Joins...)
		mark(x.Needs...)
		mark(x.Carries)
	}
	for _, x := range m.Fluids {
		mark(x.Container)
	}
	for _, x := range m.Conditions {
		mark(x.Needs...)
		mark(x.LostBy...)
	}
	for _, p := range lib.Procedures {
		if p.Machine != m {
			continue
		}
		any = true
		for _, s := range p.WrittenSteps() {
			mark(s.Tools...)
			mark(s.Needs...)
			for _, a := range s.Actions() {
				mark(a.Object)
				mark(a.With...)
			}
			for _, b := range s.Blocks {
				switch b := b.(type) {
				case *procedure.Caution:
					mark(b.About...)
				case *procedure.Inspection:
					mark(b.Of)
				}
			}
		}
	}
	return used, any
}

var unusedFigures = rule{
	diagnostic.Rule{
		Code: "unused-figure", Severity: diagnostic.Warning, Title: "Figure never shown",
		Wrong: "A figure is shown in no step and no question.",
		Why:   "A picture that was drawn for a step and is not shown there helps nobody.",
		Do:    "Show it with {figure=name}, or take it out.",
	},
	func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		shown := map[*procedure.Figure]bool{}
		for _, p := range lib.Procedures {
			for _, s := range p.WrittenSteps() {
				for _, id := range s.FigureNames() {
					shown[p.Figure(id)] = true
				}
			}
		}
		for _, q := range lib.Quizzes {
			for _, x := range q.Questions {
				if q.Procedure != nil {
					shown[q.Procedure.Figure(x.Figure.ID)] = true
				}
			}
		}
		unused := func(figures []*procedure.Figure) {
			for _, f := range figures {
				if !shown[f] {
					report(diagnostic.Diagnostic{Span: f.Span, Message: "the figure " + quote(f.ID) + " is never shown", Do: "Show it with {figure=" + f.ID + "}, or take it out."})
				}
			}
		}
		for _, m := range lib.Machines {
			unused(m.Figures)
		}
		for _, p := range lib.Procedures {
			unused(p.Figures)
		}
	},
}
