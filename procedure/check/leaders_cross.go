package check

import (
	"strconv"

	"matchmark/procedure"
	"matchmark/procedure/balloon"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var leadersCross = rule{
	Rule: diagnostic.Rule{
		Code: "leaders-cross", Severity: diagnostic.Advice, Title: "Leaders cross that need not",
		Wrong: "The leaders of two balloons cross, and would not if the balloons changed places.",
		Why:   "Where lines cross, an eye follows the wrong one to the wrong bolt.",
		Do:    "Let the two balloons change places, or leave the word balloon and its point out: then they are placed so that leaders do not cross.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			for _, f := range m.Figures {
				if !m.Taken(f.Span) {
					crossings(f, report)
				}
			}
		}
		for _, p := range lib.Procedures {
			for _, f := range p.Figures {
				crossings(f, report)
			}
		}
	},
}

func crossings(f *procedure.Figure, report func(diagnostic.Diagnostic)) {
	for _, x := range balloon.Crossings(f) {
		if x.A.Free || x.B.Free {
			continue
		}
		report(diagnostic.Diagnostic{
			Span: x.B.Span, Wrong: say.That("the leaders of %a and %b cross", say.Quote(x.A.Ref.ID), say.Quote(x.B.Ref.ID)),
			Advice: say.That("Let them change places: balloon %place here, and balloon %other there.", say.Name(placeOf(x.A)), say.Name(placeOf(x.B))),
			See:    []diagnostic.Related{{Span: x.A.Span, Says: say.That("the other one")}},
		})
	}
}

// placeOf is the point of a balloon as it is written.
func placeOf(b *procedure.Balloon) string {
	return strconv.FormatFloat(b.Label.X, 'f', -1, 64) + "," + strconv.FormatFloat(b.Label.Y, 'f', -1, 64)
}
