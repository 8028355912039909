package edition

import (
	"slices"
	"strconv"

	"matchmark/procedure"
)

// Fastener is a fastener whose row in the register changed.
type Fastener struct {
	Kind Kind
	// Old and New are its rows; nil where the register has none.
	Old, New *procedure.Fastener
	// Changes are what is different in its row, in the order of the columns.
	Changes []Change
	// Torque is true when it is tightened in another way: torque, tolerance,
	// angle, sequence, treatment or friction changed.
	Torque bool
}

// tightening are the columns that say how a fastener is tightened.
var tightening = []string{"torque", "tolerance", "angle", "no-torque", "sequence", "treatment", "friction"}

// fasteners compares the rows of the fasteners that a step of either edition names.
func fasteners(before, after *procedure.Procedure) []Fastener {
	used := map[string]bool{}
	for _, p := range []*procedure.Procedure{before, after} {
		for _, s := range p.Steps {
			for _, a := range s.Actions() {
				used[a.Object.ID] = true
			}
		}
	}
	old, now := rows(before), rows(after)
	var out []Fastener
	for _, f := range now {
		if !used[f.ID] {
			continue
		}
		i := slices.IndexFunc(old, func(g *procedure.Fastener) bool { return g.ID == f.ID })
		if i < 0 {
			out = append(out, Fastener{Kind: Added, New: f})
			continue
		}
		if c := fastenerChanges(old[i], f); len(c) > 0 {
			torque := slices.ContainsFunc(c, func(c Change) bool { return slices.Contains(tightening, c.What) })
			out = append(out, Fastener{Kind: Changed, Old: old[i], New: f, Changes: c, Torque: torque})
		}
	}
	for _, f := range old {
		if used[f.ID] && !slices.ContainsFunc(now, func(g *procedure.Fastener) bool { return g.ID == f.ID }) {
			out = append(out, Fastener{Kind: Removed, Old: f})
		}
	}
	return out
}

func rows(p *procedure.Procedure) []*procedure.Fastener {
	if p.Machine == nil {
		return nil
	}
	return p.Machine.Fasteners
}

func fastenerChanges(old, now *procedure.Fastener) []Change {
	var c changes
	c.value("name", old.Name, now.Name)
	c.value("kind", string(old.Kind), string(now.Kind))
	c.value("thread", old.Thread, now.Thread)
	c.quantity("length", old.Length, now.Length)
	c.value("class", old.Class, now.Class)
	c.value("drive", old.Drive, now.Drive)
	c.value("count", count(old.Count), count(now.Count))
	c.quantity("torque", old.Torque, now.Torque)
	c.quantity("tolerance", old.Tolerance, now.Tolerance)
	c.quantity("angle", old.Angle, now.Angle)
	c.value("no-torque", old.NoTorque, now.NoTorque)
	c.value("sequence", old.Sequence, now.Sequence)
	c.value("treatment", old.Treatment, now.Treatment)
	c.value("friction", number(old.Friction), number(now.Friction))
	c.flag("single-use", old.SingleUse, now.SingleUse)
	c.set("joins", references(old.Joins), references(now.Joins))
	c.set("locks", references(old.Locks), references(now.Locks))
	c.value("bag", old.Bag, now.Bag)
	c.set("variants", references(old.Variants), references(now.Variants))
	c.value("note", old.Note, now.Note)
	return c
}

func number(x float64) string {
	if x == 0 {
		return ""
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}
