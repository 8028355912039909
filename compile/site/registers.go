package site

import (
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
)

// One function per register: its columns and its rows.

func (r *registers) variants() table {
	t := table{titles: r.columns("name")}
	for _, x := range r.machine.Variants {
		row := r.row(x.Row, words(x.Name))
		row.ID = "variant-" + x.ID // a thing may have a variant's name
		t.rows = append(t.rows, row)
	}
	return t
}

func (r *registers) parts() table {
	t := table{titles: r.columns("letter", "name", "mass", "side", "twin", "mark", "face", "under", "on-bench", "held-by", "stand", "base", "hazard", "risk", "single-use", "waste")}
	for _, x := range r.machine.Parts {
		t.rows = append(t.rows, r.row(x.Row,
			words(x.Letter), words(x.Name), r.quantity(x.Mass), r.side(x.Side), r.ref(x.Twin),
			words(x.Mark), words(x.Face), r.refs(x.Under), r.ref(x.OnBench), r.ref(x.HeldBy), words(x.Stand), r.yes(x.Base), words(x.Hazard), words(x.Risk), r.yes(x.SingleUse), words(x.Waste)))
	}
	return t
}

func (r *registers) side(side string) cellView {
	if side == "" {
		return words("")
	}
	return words(r.words.T("side." + side))
}

func (r *registers) fasteners() table {
	t := table{titles: r.columns("no", "name", "kind", "size", "class", "drive", "count", "torque", "tolerance", "angle", "no-torque",
		"stages", "pattern", "tight-after", "retorque", "sequence", "treatment", "single-use", "waste", "hazard", "risk", "joins", "under", "on-bench", "with", "locks", "bag")}
	for _, x := range r.machine.Fasteners {
		t.rows = append(t.rows, r.row(x.Row,
			cellView{Text: x.ID, Sort: strconv.Itoa(x.Number), Number: true},
			words(x.Name), words(r.words.T("fastener-kind."+string(x.Kind))), words(r.shell.ThreadAndLength(x)), words(x.Class), words(x.Drive), count(x.Count),
			r.quantity(x.Torque), r.quantity(x.Tolerance), r.quantity(x.Angle), words(x.NoTorque),
			words(r.shell.Before(x)), words(r.pattern(x.Pattern)), r.refs(x.TightAfter), words(x.Retorque), words(x.Sequence), words(x.Treatment), r.yes(x.SingleUse), words(x.Waste), words(x.Hazard), words(x.Risk), r.refs(x.Joins), r.refs(x.Under), r.ref(x.OnBench), words(x.With), r.refs(x.Locks), words(x.Bag)))
	}
	return t
}

func (r *registers) pattern(pattern string) string {
	if pattern == "" {
		return ""
	}
	return r.words.T("pattern." + strings.ReplaceAll(pattern, " ", "-"))
}

func (r *registers) connections() table {
	t := table{titles: r.columns("letter", "name", "kind", "joins", "needs", "mark", "carries", "under", "on-bench", "stand", "hazard", "risk")}
	for _, x := range r.machine.Connections {
		kind := words("") // not every row says what it is
		if x.Kind != "" {
			kind = words(r.words.T("connection-kind." + x.Kind))
		}
		t.rows = append(t.rows, r.row(x.Row,
			words(x.Letter), words(x.Name), kind, r.refs(x.Joins), r.refs(x.Needs), words(x.Mark), r.ref(x.Carries), r.refs(x.Under), r.ref(x.OnBench), words(x.Stand), words(x.Hazard), words(x.Risk)))
	}
	return t
}

func (r *registers) fluids() table {
	t := table{titles: r.columns("letter", "name", "quantity", "drain", "under", "on-bench", "container", "hazard", "risk", "flush", "single-use", "waste")}
	for _, x := range r.machine.Fluids {
		t.rows = append(t.rows, r.row(x.Row,
			words(x.Letter), words(x.Name), r.quantity(x.Quantity), words(x.Drain), r.refs(x.Under), r.ref(x.OnBench), r.ref(x.Container), words(x.Hazard), words(x.Risk), words(x.Flush), r.yes(x.SingleUse), words(x.Waste)))
	}
	return t
}

func (r *registers) supports() table {
	t := table{titles: r.columns("letter", "name", "kind", "capacity", "legs", "angle", "other-angle", "hitch", "choke", "tag")}
	for _, x := range r.machine.Supports {
		kind := words("") // not every row says what it is
		if x.Kind != "" {
			kind = words(r.words.T("support-kind." + x.Kind))
		}
		hitch := words("")
		if x.Hitch != "" {
			hitch = words(r.words.T("hitch." + x.Hitch))
		}
		t.rows = append(t.rows, r.row(x.Row,
			words(x.Letter), words(x.Name), kind, r.quantity(x.Capacity), count(x.Legs), r.quantity(x.Angle), r.quantity(x.OtherAngle), hitch, r.quantity(x.Choke), r.quantity(x.Tag)))
	}
	return t
}

func (r *registers) conditions() table {
	t := table{titles: r.columns("name", "needs", "by", "undo", "lost-by", "energy", "proved-at", "zone")}
	for _, x := range r.machine.Conditions {
		t.rows = append(t.rows, r.row(x.Row,
			words(x.Name), r.refs(x.Needs), r.refs(x.By), words(x.Undo), r.refs(x.LostBy), r.yes(x.Energy), r.refs(x.ProvedAt), r.yes(x.Zone)))
	}
	return t
}

func (r *registers) sources() table {
	t := table{titles: r.columns("name", "kind", "where", "isolated", "proved", "reaches", "guards", "no-guards", "risk")}
	for _, x := range r.machine.Energies {
		kind := words("")
		if x.Kind != "" {
			kind = words(r.words.T("energy-kind." + x.Kind))
		}
		t.rows = append(t.rows, r.row(x.Row,
			words(x.Name), kind, words(x.Where), r.refs(x.Isolated), r.refs(x.Proved), r.refs(x.Reaches), r.refs(x.Guards), words(x.NoGuards), words(x.Risk)))
	}
	return t
}

func (r *registers) tools() table {
	t := table{titles: r.columns("letter", "name", "kind", "fits", "against", "revision", "quantity", "single", "waste")}
	for _, x := range r.machine.Tools {
		t.rows = append(t.rows, r.row(x.Row,
			words(x.Letter), words(x.Name), words(r.words.T("tool-kind."+string(x.Kind))), r.fits(x), words(x.Against), words(x.Revision), r.quantity(x.Quantity), r.yes(x.Single), words(x.Waste)))
	}
	return t
}

// fits is what a tool is for: what it turns, the torques that it is set to, and the things that it is kept for.
func (r *registers) fits(x *procedure.Tool) cellView {
	u := &x.Use
	all := slices.Clone(u.Drives)
	if !u.High.IsZero() {
		reach := r.shell.Quantity(u.Low) + "–" + r.shell.Quantity(u.High)
		if !u.Tolerance.IsZero() {
			reach += " ± " + r.shell.Quantity(u.Tolerance)
		}
		all = append(all, reach)
	}
	for _, ref := range u.Things {
		all = append(all, nameOf(r.machine, ref.ID))
	}
	return words(strings.Join(all, ", "))
}
