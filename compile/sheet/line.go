package sheet

import (
	"html/template"

	"matchmark/compile/page"
	"matchmark/procedure"
)

// line is one action with its boxes.
type line struct {
	// Boxes has one entry per box: one for each fastener under a number, one for any other action.
	Boxes []int
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
func (e emitter) lines(s page.Shell, actions []*procedure.Action, inspected map[string]bool) []line {
	var out []line
	for _, a := range actions {
		if a.Verb != procedure.Inspect || !inspected[a.Object.ID] {
			out = append(out, e.line(s, a))
		}
	}
	return out
}

func (e emitter) line(s page.Shell, a *procedure.Action) line {
	l := line{
		Boxes: []int{1}, Verb: e.words.T("verb." + string(a.Verb)), Name: e.name(a.Object.ID),
		Reason: page.Inline(a.Reason), Kept: a.Verb == procedure.Keep,
	}
	if rule, ok := a.Verb.Rule(); ok && rule.Word != "" && len(a.With) > 0 {
		l.With = e.words.T("with."+rule.Word, e.names(a.With))
	}
	t := e.job.Machine.Thing(a.Object.ID)
	switch {
	case t == nil:
	case t.Fastener != nil:
		l.Sign = t.Row.ID
		l.Detail = e.fastenerDetail(s, a.Verb, t.Fastener)
		switch n := t.Fastener.Count; {
		case n > mostBoxes:
			l.Pieces = n
		case n > 1:
			l.Boxes = make([]int, n)
		}
	case t.Part != nil:
		l.Sign = t.Part.Letter
		l.Detail = e.partDetail(s, a.Verb, t.Part)
	case t.Connection != nil && a.Verb == procedure.Disconnect:
		l.Detail = t.Connection.Mark
	case t.Fluid != nil:
		l.Detail = s.Quantity(t.Fluid.Quantity)
	}
	return l
}

// fastenerDetail says what to look for, and on the way back what it is tightened to.
func (e emitter) fastenerDetail(s page.Shell, v procedure.Verb, f *procedure.Fastener) string {
	switch v {
	case procedure.Tighten:
		torque := s.Quantity(f.Torque)
		if torque != "" && !f.Tolerance.IsZero() {
			torque += " ± " + s.Quantity(f.Tolerance)
		}
		if torque != "" && !f.Angle.IsZero() {
			torque += " + " + s.Quantity(f.Angle)
		}
		return joined(torque, f.NoTorque, f.Sequence)
	case procedure.Fit:
		detail := joined(s.ThreadAndLength(f), f.Treatment)
		if f.SingleUse {
			return joined(e.words.T("sheet.new-one"), detail)
		}
		return detail
	case procedure.Remove:
		if f.Bag != "" {
			return joined(s.ThreadAndLength(f), f.Drive, e.words.T("sheet.bag", f.Bag))
		}
	}
	return joined(s.ThreadAndLength(f), f.Drive)
}

func (e emitter) partDetail(s page.Shell, v procedure.Verb, p *procedure.Part) string {
	switch v {
	case procedure.Remove, procedure.SetDown:
		return joined(s.Quantity(p.Mass), p.Stand)
	case procedure.Hang, procedure.Lift:
		return s.Quantity(p.Mass)
	case procedure.Mark:
		return p.Mark
	case procedure.Fit:
		return p.Face
	}
	return ""
}
