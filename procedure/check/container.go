package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
)

var containerUnfit = rule{
	Rule: diagnostic.Rule{
		Code: "container-unfit", Severity: diagnostic.Warning, Title: "Fluid into the wrong container",
		Wrong: "A fluid is drained into what is no container, into another one than its row names, or into one that has less room, with what is in it by then.",
		Why:   "It runs over or eats through; and somebody stands in it.",
		Do:    "Name the container of the fluid's row, and one that has room for what comes out.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		eachDrain(lib, func(d drain) {
			for _, r := range d.act.With {
				t := d.machine.Thing(r.ID)
				switch row := d.fluid.Container.ID; {
				case t == nil || t.Tool == nil: // reported as undefined, or as the wrong thing
				case t.Tool.Kind != procedure.Container:
					d.say(report, r, say.That("%fluid goes into %tool, which is registered as %kind, not as a container", say.Quote(d.fluid.ID), say.Quote(r.ID), say.Word(t.Tool.Kind)), say.That("Name a container, or correct its kind."), &t.Tool.Row)
				case d.named() && row != r.ID && !slices.ContainsFunc(d.act.With, func(o procedure.Ref) bool { return o.ID == row }):
					d.say(report, r, say.That("%fluid goes into %tool here, and its row names %row", say.Quote(d.fluid.ID), say.Quote(r.ID), say.Quote(row)), say.That("Name %row, or correct the row.", say.Name(row)), &d.fluid.Row)
				}
			}
			if room, known := d.room(); known && room.Compare(d.fluid.Quantity) < 0 {
				d.say(report, d.act.With[0], say.That("%fluid is %quantity, and what it goes into has room for %room", say.Quote(d.fluid.ID), say.Word(d.fluid.Quantity.String()), say.Word(room.String())), say.That("Name one that holds at least %quantity, or a second one behind a comma.", say.Word(d.fluid.Quantity.String())), &d.fluid.Row)
			}
		})
	},
}

// named reports whether the fluid's row names a tool; another thing was reported there.
func (d drain) named() bool {
	t := d.machine.Thing(d.fluid.Container.ID)
	return t != nil && t.Tool != nil
}

var containerUnknown = rule{
	Rule: diagnostic.Rule{
		Code: "container-unknown", Severity: diagnostic.Advice, Title: "Nobody knows whether the fluid fits",
		Wrong: "A fluid is drained, and its quantity or how much its container holds is not stated.",
		Why:   "Whether it runs over is not checked, though it looks so.",
		Do:    "State the quantity of both, such as 5 L.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		eachDrain(lib, func(d drain) {
			if _, known := d.room(); known {
				return
			}
			for _, r := range d.act.With {
				if t := d.machine.Thing(r.ID); t != nil && t.Tool != nil && t.Tool.Kind == procedure.Container && t.Tool.Quantity.Dimension() != measure.Volume {
					d.say(report, r, say.That("how much %tool holds is not stated, so nobody knows whether %fluid goes in", say.Quote(r.ID), say.Quote(d.fluid.ID)), say.That("Write its volume into the column quantity."), &t.Tool.Row)
					return
				}
			}
			if d.fluid.Quantity.IsZero() && len(d.act.With) > 0 {
				d.say(report, d.act.With[0], say.That("how much %fluid there is is not stated, so nobody knows whether it goes in", say.Quote(d.fluid.ID)), say.That("Write its quantity."), &d.fluid.Row)
			}
		})
	},
}

// drain is an act that drains a fluid.
type drain struct {
	machine *procedure.Machine
	act     *procedure.Action
	fluid   *procedure.Fluid
	// in is how much the containers of the procedure hold before it, by their names.
	in map[string]measure.Quantity
}

// eachDrain calls f for each drain of a procedure, and with what its containers hold by then.
func eachDrain(lib *procedure.Library, f func(drain)) {
	for _, p := range lib.Procedures {
		if p.Machine == nil {
			continue
		}
		in := map[string]measure.Quantity{}
		for _, s := range p.Steps {
			for _, a := range s.Actions() {
				t := p.Machine.Thing(a.Object.ID)
				if a.Verb != procedure.Drain || t == nil || t.Fluid == nil {
					continue
				}
				f(drain{p.Machine, a, t.Fluid, in})
				if len(a.With) != 1 || t.Fluid.Quantity.IsZero() {
					continue // how much goes into which is not said
				}
				if sum, err := in[a.With[0].ID].Add(t.Fluid.Quantity); err == nil {
					in[a.With[0].ID] = sum
				} else {
					in[a.With[0].ID] = t.Fluid.Quantity // the first one
				}
			}
		}
	}
}

// room is what all the containers of a drain have room for; known is false where one of them or the fluid has no volume.
func (d drain) room() (sum measure.Quantity, known bool) {
	for _, r := range d.act.With {
		t := d.machine.Thing(r.ID)
		if t == nil || t.Tool == nil || t.Tool.Quantity.Dimension() != measure.Volume {
			return sum, false
		}
		room := t.Tool.Quantity
		if left, err := room.Sub(d.in[r.ID]); err == nil {
			room = left
		}
		if sum.IsZero() {
			sum = room
			continue
		}
		sum, _ = sum.Add(room) // both are volumes
	}
	return sum, !sum.IsZero() && !d.fluid.Quantity.IsZero()
}

func (d drain) say(report func(diagnostic.Diagnostic), at procedure.Ref, wrong, advice say.Text, row *procedure.Row) {
	report(diagnostic.Diagnostic{Span: at.Span, Wrong: wrong, Advice: advice, See: seeRow(row)})
}
