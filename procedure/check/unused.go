package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
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
			Span: m.Span, Message: "no procedure works on the machine " + quote(m.ID), Do: "Write one, or take the machine out.",
		})
		return
	}
	own := usedByRows(m)
	for _, t := range m.Things() {
		if t.Row.ID == "" || used[t.Row.ID] || own[t.Row.ID] || t.Tool != nil && tightens(m, t.Tool) {
			continue
		}
		report(diagnostic.Diagnostic{
			Span: t.Row.Span, Message: "the " + kindWords[t.Kind] + " " + quote(t.Row.ID) + " is used nowhere", Do: "Use it, or take the row out.",
		})
	}
}

// tightens reports whether a tool is a torque wrench for one of the machine's fasteners:
// the lists of tools take it in wherever that is tightened, named by a step or not.
func tightens(m *procedure.Machine, tool *procedure.Tool) bool {
	return tool.Kind == procedure.HandTool && slices.ContainsFunc(m.Fasteners, func(f *procedure.Fastener) bool {
		return f.Torque.Dimension() == measure.Torque && supplies.Covers(tool.Name, f.Torque)
	})
}

// usedByRows collects every name that the machine's own rows use.
func usedByRows(m *procedure.Machine) map[string]bool {
	used := map[string]bool{}
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
		unused := func(figures []*procedure.Figure) {
			for _, f := range figures {
				if !shown[f] {
					neverShown(f, report)
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
	report(diagnostic.Diagnostic{Span: f.Span, Message: "the figure " + quote(f.ID) + " is never shown", Do: "Show it with {figure=" + f.ID + "}, or take it out."})
}
