package edition

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/refit"
)

// RefitFiles compares what the authors of two editions wrote for the refitting. removal is the
// comparison of the ways out: a row of a register that is different stands there and is not told again.
// There are no totals, since what is derived has its time too.
func RefitFiles(removal Comparison, oldTitle, newTitle string) Comparison {
	before, after := refit.Written(removal.Old, refit.TitleOf(removal.Old, oldTitle)), refit.Written(removal.New, refit.TitleOf(removal.New, newTitle))
	c := Compare(before, after)
	c.Totals = nil
	var head changes
	head.list("out", left(removal.Old), left(removal.New))
	c.Head = head
	c.Rows = slices.DeleteFunc(c.Rows, func(r Row) bool {
		return (r.Kind == Changed || !laidOut(r.Register)) && slices.ContainsFunc(removal.Rows, func(x Row) bool { return x.Kind == r.Kind && x.ID == r.ID })
	})
	return c.judged()
}

// left names what stays out.
func left(p *procedure.Procedure) []item {
	if p.RefitFile == nil {
		return nil
	}
	return namesOf(p).refs(&procedure.Field{Refers: "thing"}, p.RefitFile.Out)
}
