package order

import (
	"slices"

	"matchmark/procedure/loads"
	"matchmark/procedure/position"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

// moment is one part at one moment.
type moment struct {
	state *state.State
	part  *state.Part
}

// balance is what holds the part's group after an event, worked out once for all rules.
func (f *Facts) balance(s *state.State, p *state.Part) *loads.Balance {
	if b, known := f.balances[moment{s, p}]; known {
		return b
	}
	b := loads.Of(s, p)
	if f.balances == nil {
		f.balances = map[moment]*loads.Balance{}
	}
	for _, q := range b.Group.Parts {
		f.balances[moment{s, q}] = b
	}
	return b
}

// concerned returns the parts on which an event bears.
func concerned(e *state.Event) []*state.Part {
	switch {
	case e.Fastener != nil:
		return e.Fastener.Parts
	case e.Connection != nil && e.Connection.Bears():
		return e.Connection.Parts
	case e.Part != nil:
		return append([]*state.Part{e.Part}, e.Moved...)
	}
	return nil
}

// balanced calls do for each group on which an event bears and for which places are stated, with its balance before and after.
func balanced(f *Facts, e *state.Event, do func(p *state.Part, before, after *loads.Balance)) {
	var done []*loads.Balance
	for _, p := range concerned(e) {
		if p.Base || !hasCentres(e.After) {
			continue
		}
		after := f.balance(e.After, p)
		if !after.Judged || slices.Contains(done, after) {
			continue
		}
		done = append(done, after)
		do(p, f.balance(e.Before, p), after)
	}
}

// hasCentres reports whether the machine states a centre of mass at all; one that does not need not be asked.
func hasCentres(s *state.State) bool {
	return slices.ContainsFunc(s.Assembly.Parts, func(q *state.Part) bool { return q.Centre != "" })
}

// holds names what holds parts: "fastener 4 and the jack".
func holds(list []loads.Hold) say.List {
	names := say.List{Join: say.And}
	seen := map[string]bool{}
	for _, h := range list {
		t := holdName(h)
		if s := t.String(); !seen[s] {
			seen[s] = true
			names.Parts = append(names.Parts, t)
		}
	}
	return names
}

func holdName(h loads.Hold) say.Text {
	switch {
	case h.Fastener != nil:
		return say.That("fastener %number", say.Name(h.Fastener.ID))
	case h.Joint != nil:
		return the(h.Joint.ID)
	case h.Seat != nil:
		return say.That("the seat of the %part", say.Name(h.Seat.ID))
	}
	return the(h.Line.Supports[0].ID)
}

// millimetres is a length for people: whole, unless it is short.
func millimetres(mm float64) say.Text {
	places := 0
	if mm < 10 {
		places = 1
	}
	return say.That("%number mm", say.Decimal{Value: mm, Places: places})
}

// where is a place on the machine.
func where(b *loads.Balance) say.Word {
	return say.Word(position.Of(b.Fall.Centre, b.Line))
}
