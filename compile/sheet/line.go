package sheet

import (
	"html/template"
	"slices"
	"strings"

	"matchmark/compile/liftwords"
	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/lifts"
	"matchmark/procedure/text"
)

// line is one action with its boxes.
type line struct {
	// Boxes has one entry per box: one for each fastener under a number, one for any other action.
	Boxes []struct{}
	// Pieces is the count of fasteners when they are too many for a box each; 0 otherwise.
	Pieces int
	Sign   string // a fastener's number or a part's letter
	Verb   string
	Name   string
	With   string
	Detail string
	Reason template.HTML
	Kept   bool
}

// mostBoxes is how many like fasteners get a box each.
const mostBoxes = 8

// lines leaves out the inspections that a block of the step spells out.
func (e emitter) lines(s page.Shell, of *procedure.Step, actions []*procedure.Action, inspected []string) []line {
	out := make([]line, 0, len(actions))
	for _, a := range actions {
		if a.Verb != procedure.Inspect || !slices.Contains(inspected, a.Object.ID) {
			out = append(out, e.line(s, of, a))
		}
	}
	return out
}

func (e emitter) line(s page.Shell, of *procedure.Step, a *procedure.Action) (l line) {
	l = line{
		Boxes: make([]struct{}, 1), Verb: e.words.T("verb." + string(a.Verb)), Name: e.name(a.Object.ID),
		Reason: page.Inline(a.Reason), Kept: a.Verb == procedure.Keep,
	}
	if rule, ok := a.Verb.Rule(); ok && rule.Word != "" && len(a.With) > 0 {
		l.With = e.words.T("with."+rule.Word, e.names(a.With))
	}
	defer func() { l.Detail = joined(append(e.lib.TradeNames(a.Who), l.Detail, page.Locks(e.words, a))...) }()
	t := e.job.Machine.Thing(a.Object.ID)
	switch {
	case t == nil:
	case t.Fastener != nil:
		l.Sign = t.Row.ID
		l.Detail = e.fastenerDetail(s, a.Verb, t.Fastener)
		count := t.Fastener.Count
		if some := a.Some(t.Fastener); some > 0 {
			count = some
			l.Detail = joined(e.words.T("sheet.pieces.of", some, t.Fastener.Count), l.Detail)
		}
		l.Boxes, l.Pieces = boxes(count)
	case t.Part != nil:
		l.Sign = t.Part.Letter
		l.Detail = e.partDetail(s, of, a, t.Part)
	case t.Connection != nil:
		l.Detail = e.connectionDetail(a.Verb, t.Connection)
	case t.Fluid != nil:
		l.Detail = e.fluidDetail(s, a.Verb, t.Fluid)
	case t.Condition != nil && a.Verb == procedure.Undo && t.Condition.Undo != "" && !strings.EqualFold(t.Condition.Undo, of.Title):
		// What is done says more than what it ends; unless the step's title says it.
		l.Verb, l.Name, l.Detail = text.Capitalised(t.Condition.Undo), "", e.words.T("sheet.ends", l.Name)
	case t.Condition != nil:
		l.Verb += ":" // a state is no thing that the verb could govern
	}
	return l
}

// boxes returns a box for each piece; for very many one box, and their count.
func boxes(count int) (each []struct{}, pieces int) {
	if count > mostBoxes {
		return make([]struct{}, 1), count
	}
	return make([]struct{}, max(count, 1)), 0
}

// fastenerDetail says what to look for, and in the refitting what it is tightened to.
func (e emitter) fastenerDetail(s page.Shell, v procedure.Verb, f *procedure.Fastener) string {
	switch v {
	case procedure.Tighten:
		return joined(s.Hand(f, v), f.Drive, s.Tightening(f), f.NoTorque, s.Order(f))
	case procedure.Fit:
		from := ""
		switch {
		case f.SingleUse:
			from = e.words.T("sheet.new-one")
		case f.Bag != "":
			from = e.words.T("sheet.from-bag", f.Bag)
		}
		return joined(s.Hand(f, v), from, s.ThreadAndLength(f), f.Treatment)
	case procedure.Remove:
		bag := ""
		if f.Bag != "" {
			bag = e.words.T("sheet.bag", f.Bag)
		}
		return joined(s.Hand(f, v), s.ThreadAndLength(f), f.Drive, bag, e.scrap(f.SingleUse, f.Waste))
	}
	return joined(s.Hand(f, v), s.ThreadAndLength(f), f.Drive)
}

func (e emitter) partDetail(s page.Shell, of *procedure.Step, a *procedure.Action, p *procedure.Part) string {
	mass := s.Quantity(p.Mass)
	if l := lifts.With(e.lifts, of, a); l != nil && len(l.Along) > 0 {
		mass = liftwords.WithAlong(e.words, *l, s.Quantity)
	}
	switch a.Verb {
	case procedure.Remove, procedure.SetDown:
		off := ""
		if a.Verb == procedure.Remove {
			off = e.scrap(p.SingleUse, p.Waste)
		}
		return joined(mass, p.Stand, off)
	case procedure.Hang, procedure.Lift:
		return mass
	case procedure.Mark:
		return p.Mark
	case procedure.Fit:
		twin := ""
		if p.Twin.ID != "" {
			twin = e.words.T("sheet.not-swapped", e.name(p.Twin.ID))
		}
		from := ""
		if p.SingleUse {
			from = e.words.T("sheet.new-one")
		}
		return joined(from, p.Face, e.align(p.Mark), twin)
	}
	return ""
}

// scrap says that what comes off does not go back, and where it goes; empty for what does.
func (e emitter) scrap(singleUse bool, waste string) string {
	switch {
	case waste != "":
		return e.words.T("fact.waste", waste)
	case singleUse:
		return e.words.T("sheet.scrap")
	}
	return ""
}

func (e emitter) connectionDetail(v procedure.Verb, c *procedure.Connection) string {
	switch v {
	case procedure.Disconnect, procedure.Mark:
		return c.Mark
	case procedure.Connect:
		return e.align(c.Mark)
	}
	return ""
}

// align says which mark has to meet again; empty for none.
func (e emitter) align(mark string) string {
	if mark == "" {
		return ""
	}
	return e.words.T("sheet.align", mark)
}

func (e emitter) fluidDetail(s page.Shell, v procedure.Verb, f *procedure.Fluid) string {
	switch v {
	case procedure.Drain:
		return joined(s.Quantity(f.Quantity), e.scrap(false, f.Waste))
	case procedure.Fill:
		return s.Quantity(f.Quantity)
	case procedure.Flush:
		return f.Flush
	}
	return ""
}
