package site

import "strconv"

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
	t := table{titles: r.columns("letter", "name", "mass", "side", "twin", "mark", "face", "under", "stand", "base")}
	for _, x := range r.machine.Parts {
		t.rows = append(t.rows, r.row(x.Row,
			words(x.Letter), words(x.Name), r.quantity(x.Mass), r.side(x.Side), r.ref(x.Twin),
			words(x.Mark), words(x.Face), r.refs(x.Under), words(x.Stand), r.yes(x.Base)))
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
		"sequence", "treatment", "single-use", "joins", "locks", "bag")}
	for _, x := range r.machine.Fasteners {
		t.rows = append(t.rows, r.row(x.Row,
			cellView{Text: x.ID, Sort: strconv.Itoa(x.Number), Number: true},
			words(x.Name), words(r.words.T("fastener-kind."+string(x.Kind))), words(r.shell.ThreadAndLength(x)), words(x.Class), words(x.Drive), count(x.Count),
			r.quantity(x.Torque), r.quantity(x.Tolerance), r.quantity(x.Angle), words(x.NoTorque),
			words(x.Sequence), words(x.Treatment), r.yes(x.SingleUse), r.refs(x.Joins), r.refs(x.Locks), words(x.Bag)))
	}
	return t
}

func (r *registers) connections() table {
	t := table{titles: r.columns("name", "kind", "joins", "needs", "mark", "carries", "stand")}
	for _, x := range r.machine.Connections {
		kind := words("") // not every row says what it is
		if x.Kind != "" {
			kind = words(r.words.T("connection-kind." + x.Kind))
		}
		t.rows = append(t.rows, r.row(x.Row,
			words(x.Name), kind, r.refs(x.Joins), r.refs(x.Needs), words(x.Mark), r.ref(x.Carries), words(x.Stand)))
	}
	return t
}

func (r *registers) fluids() table {
	t := table{titles: r.columns("name", "quantity", "drain", "container", "hazard", "flush", "single-use")}
	for _, x := range r.machine.Fluids {
		t.rows = append(t.rows, r.row(x.Row,
			words(x.Name), r.quantity(x.Quantity), words(x.Drain), r.ref(x.Container), words(x.Hazard), words(x.Flush), r.yes(x.SingleUse)))
	}
	return t
}

func (r *registers) supports() table {
	t := table{titles: r.columns("name", "kind", "capacity", "legs", "angle")}
	for _, x := range r.machine.Supports {
		kind := words("") // not every row says what it is
		if x.Kind != "" {
			kind = words(r.words.T("support-kind." + x.Kind))
		}
		t.rows = append(t.rows, r.row(x.Row,
			words(x.Name), kind, r.quantity(x.Capacity), count(x.Legs), r.quantity(x.Angle)))
	}
	return t
}

func (r *registers) conditions() table {
	t := table{titles: r.columns("name", "needs", "undo", "lost-by", "energy")}
	for _, x := range r.machine.Conditions {
		t.rows = append(t.rows, r.row(x.Row,
			words(x.Name), r.refs(x.Needs), words(x.Undo), r.refs(x.LostBy), r.yes(x.Energy)))
	}
	return t
}

func (r *registers) tools() table {
	t := table{titles: r.columns("name", "kind", "quantity", "single")}
	for _, x := range r.machine.Tools {
		t.rows = append(t.rows, r.row(x.Row,
			words(x.Name), words(r.words.T("tool-kind."+string(x.Kind))), r.quantity(x.Quantity), r.yes(x.Single)))
	}
	return t
}
