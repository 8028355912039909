package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// manyPieces is from how many pieces of one fastener a pattern is asked for. Common practice, no source.
const manyPieces = 6

var patternMissing = rule{
	Rule: diagnostic.Rule{
		Code: "pattern-missing", Severity: diagnostic.Advice, Title: "Many bolts and no pattern",
		Wrong: "Six or more pieces of one fastener have a torque and hold parts together, and their row says nothing of the order in which they are tightened.",
		Why:   "A cover that is tightened along one side first stands off on the other, and leaks.",
		Do:    "State the pattern: crosswise for a circle, from the middle outwards for a row. Stages for a seal.",
	},
	run: eachFastener(func(f *procedure.Fastener, report func(diagnostic.Diagnostic)) {
		if f.Count < manyPieces || f.Torque.IsZero() || len(f.Joins) < 2 || f.Pattern != "" || f.Sequence != "" {
			return
		}
		report(diagnostic.Diagnostic{
			Span: f.Span, Wrong: say.That("fastener %number has %count pieces and no pattern in which they are tightened", say.Name(f.ID), say.Count(f.Count)),
			Advice: say.That("Write one into the column pattern: %patterns.", say.Each[say.Word](say.Commas, procedure.Patterns)),
		})
	}),
}

var patternUnfit = rule{
	Rule: diagnostic.Rule{
		Code: "pattern-unfit", Severity: diagnostic.Warning, Title: "Pattern that these pieces do not have",
		Wrong: "A row has a pattern and fewer than three pieces, or asks for the numbers of a figure that no figure has.",
		Why:   "The learner looks for an order that is not there.",
		Do:    "Correct the count or the pattern; for numbers of the figure let one figure lead to each piece.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			for _, f := range m.Fasteners {
				if f.Count < 3 && (f.Pattern == procedure.Crosswise || f.Pattern == procedure.Outwards) {
					report(diagnostic.Diagnostic{Span: f.Span, Wrong: say.That("fastener %number has %count pieces, and its pattern is %pattern", say.Name(f.ID), say.Count(f.Count), say.Quote(f.Pattern)), Advice: say.That("Take the pattern out, or correct the count.")})
				}
			}
		}
		for _, p := range lib.Procedures {
			if p.Machine == nil {
				continue
			}
			for _, f := range p.Machine.Fasteners {
				if f.Pattern == procedure.Numbered && turnedIn(p, f) && !shownOneByOne(p, f) {
					report(diagnostic.Diagnostic{Span: f.Span, Wrong: say.That("the pattern of fastener %number is that of a figure's numbers, and no figure leads to each of its %count pieces", say.Name(f.ID), say.Count(f.Count)), Advice: say.That("Lead from its balloon to each piece, in the order of tightening.")})
				}
			}
		}
	},
}

// turnedIn reports whether a procedure acts on a fastener.
func turnedIn(p *procedure.Procedure, f *procedure.Fastener) bool {
	return slices.ContainsFunc(p.WrittenSteps(), func(s *procedure.Step) bool {
		return slices.ContainsFunc(s.Actions(), func(a *procedure.Action) bool { return a.Object.ID == f.ID })
	})
}

// shownOneByOne reports whether a figure of a procedure, or of its machine, leads to each piece of the fastener.
func shownOneByOne(p *procedure.Procedure, f *procedure.Fastener) bool {
	return slices.ContainsFunc(slices.Concat(p.Figures, p.Machine.Figures), func(fig *procedure.Figure) bool {
		places := 0
		for _, b := range fig.Balloons {
			if b.Ref.ID == f.ID {
				places += len(b.Targets)
			}
		}
		return places == f.Count
	})
}

var patternRound = rule{
	Rule: diagnostic.Rule{
		Code: "pattern-round", Severity: diagnostic.Advice, Title: "Stages, and round the circle",
		Wrong: "A row has stages, and its pattern is in turn.",
		Why:   "Stages are there so that a cover comes down evenly. Tightened one after the other round its circle it tips on its seal all the same. Common practice, no source.",
		Do:    "Write crosswise or from the middle outwards; what goes round once more at the end belongs into sequence.",
	},
	run: eachFastener(func(f *procedure.Fastener, report func(diagnostic.Diagnostic)) {
		if f.Pattern != procedure.InTurn || len(f.Stages) < 2 || f.Count < 4 || len(f.Joins) < 2 {
			return
		}
		report(diagnostic.Diagnostic{
			Span: f.Span, Wrong: say.That("fastener %number has stages, and its %count pieces are tightened in turn", say.Name(f.ID), say.Count(f.Count)),
			Advice: say.That("Tighten them crosswise, or from the middle outwards."),
		})
	}),
}

var tightRing = rule{
	Rule: diagnostic.Rule{
		Code: "tight-ring", Severity: diagnostic.Error, Title: "Fasteners that wait for each other",
		Wrong: "By their column tight-after, fasteners lead round to themselves: each must be tight before the other.",
		Why:   "No order of work can do that.",
		Do:    "Take the column out of the row that comes first.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			for _, f := range m.Fasteners {
				if waitsFor(m, f, f, nil) {
					report(diagnostic.Diagnostic{Span: f.TightAfter[0].Span, Wrong: say.That("fastener %number is to be tight after %first, and that leads back to %number", say.Name(f.ID), say.Name(f.TightAfter[0].ID)), Advice: say.That("Say which of them is tight first.")})
				}
			}
		}
	},
}

// waitsFor reports whether tight-after leads from one fastener to another.
func waitsFor(m *procedure.Machine, from, to *procedure.Fastener, seen []*procedure.Fastener) bool {
	if slices.Contains(seen, from) {
		return false
	}
	seen = append(seen, from)
	return slices.ContainsFunc(from.TightAfter, func(r procedure.Ref) bool {
		t := m.Thing(r.ID)
		return t != nil && t.Fastener != nil && (t.Fastener == to || waitsFor(m, t.Fastener, to, seen))
	})
}

var driveMissing = rule{
	Rule: diagnostic.Rule{
		Code: "drive-missing", Severity: diagnostic.Advice, Title: "Nobody knows what turns it",
		Wrong: "A procedure turns a fastener with a thread and a torque, and its row has no drive.",
		Why:   "The learner tries one socket after the other, and no list can say which one to fetch.",
		Do:    "Write the drive: hex 18 mm, hex key 6 mm, or in words what turns it.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		known := slices.ContainsFunc(m.Fasteners, func(f *procedure.Fastener) bool { return f.Drive != "" })
		for _, a := range s.Actions() {
			t := m.Thing(a.Object.ID)
			if !known || t == nil || t.Fastener == nil || t.Fastener.Drive != "" || !t.Fastener.Kind.Threaded() || t.Fastener.Torque.IsZero() {
				continue
			}
			if a.Verb == procedure.Remove || a.Verb == procedure.Loosen {
				report(diagnostic.Diagnostic{Span: a.Object.Span, Wrong: say.That("what turns fastener %number is not stated", say.Name(a.Object.ID)), Advice: say.That("Write its drive."), See: seeRow(t.Row)})
			}
		}
	}),
}
