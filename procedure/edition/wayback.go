package edition

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/refit"
)

// WaysBack compares what the authors of two editions wrote for the way back. forth is the
// comparison of the ways out: a row of a register that is different stands there and is not told again.
// There are no totals, since what is derived has its time too.
func WaysBack(forth Comparison, oldTitle, newTitle string) Comparison {
	before, after := refit.Written(forth.Old, oldTitle), refit.Written(forth.New, newTitle)
	c := Compare(before, after)
	c.Totals = nil
	var head changes
	head.set("out", left(forth.Old), left(forth.New))
	c.Head = head
	c.Fasteners = slices.DeleteFunc(c.Fasteners, func(f Fastener) bool {
		return slices.ContainsFunc(forth.Fasteners, func(g Fastener) bool { return g.Old == f.Old && g.New == f.New })
	})
	c.Tools = slices.DeleteFunc(c.Tools, func(t Tool) bool {
		return t.Kind == Changed && slices.ContainsFunc(forth.Tools, func(g Tool) bool { return g.Kind == Changed && g.ID == t.ID })
	})
	return c.judged()
}

// left names what stays out.
func left(p *procedure.Procedure) []item {
	if p.WayBack == nil {
		return nil
	}
	return named(p, p.WayBack.Out)
}
