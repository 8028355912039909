package sheet

import (
	"matchmark/compile/page"
	"matchmark/procedure/lifts"
	"matchmark/procedure/supplies"
)

// labelsView is a sheet of labels to cut out.
type labelsView struct {
	Head
	Bags  []bagLabel
	Parts []partLabel
}

// bagLabel goes into or onto a bag of fasteners.
type bagLabel struct {
	// Name is empty for a bag that the mechanic names.
	Name   string
	Step   int
	Pieces int
	Items  []bagItem
}

type bagItem struct {
	Number, Name, Size string
	Count              int
	// New is true for a fastener that is only kept as a sample: a new one goes in.
	New bool
	// With is what belongs to each piece.
	With string
}

// partLabel is tied to a part or a connection.
type partLabel struct {
	Letter, Name string
	// Side is "left" or "right"; empty for a part without a twin.
	Side  string
	Step  int
	Facts []labelFact
}

type labelFact struct{ Name, Value string }

func (e emitter) labels() error {
	h, err := e.head(Labels)
	if err != nil {
		return err
	}
	v := labelsView{Head: h}
	for _, b := range e.list.Bags {
		v.Bags = append(v.Bags, newBagLabel(h.Shell, b))
	}
	for _, l := range e.list.Labels {
		v.Parts = append(v.Parts, e.partLabel(h.Shell, l))
	}
	return e.write(Labels, labelsPage(v))
}

func newBagLabel(s page.Shell, b supplies.Bag) bagLabel {
	l := bagLabel{Name: b.Name, Step: b.Step, Pieces: b.Pieces()}
	for _, i := range b.Items {
		l.Items = append(l.Items, bagItem{i.ID, i.Name, s.ThreadAndLength(i.Fastener), i.Count, i.SingleUse, i.With})
	}
	return l
}

func (e emitter) partLabel(s page.Shell, from supplies.Label) partLabel {
	l := partLabel{Step: from.Step}
	add := func(key, value string) {
		if value != "" {
			l.Facts = append(l.Facts, labelFact{e.words.T("sheet.label." + key), value})
		}
	}
	if c := from.Connection; c != nil {
		l.Name = c.Name
		add("mark", c.Mark)
		add("stand", c.Stand)
		return l
	}
	p := from.Part
	l.Name, l.Letter, l.Side = p.Name, p.Letter, p.Side
	add("mark", p.Mark)
	add("face", p.Face)
	add("stand", p.Stand)
	add("mass", e.mostMass(s, p, func(*lifts.Lift) bool { return true }))
	if p.Twin.ID != "" {
		add("twin", e.name(p.Twin.ID))
	}
	return l
}
