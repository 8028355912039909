package workorder

import (
	"html/template"
	"strconv"
	"strings"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/record"
	"matchmark/procedure/workorder"
)

type findingView struct {
	Number         int
	Name, Kind     string
	Severity, Mark string
	Found          string
	Words, Repair  template.HTML
	// Gate says what waits for the repair; Gone that the step that was to wait is no longer there.
	Gate, Gone string
	Photos     []photoView
	// Away is how many photos are named and not there.
	Away int
	// Open says that a repair is still to be done; Done who has done it, empty while nobody has.
	Open bool
	Done string
}

type photoView struct {
	Link, Alt     string
	Width, Height int
}

func (e *Emitter) finding(f *workorder.Finding) findingView {
	v := findingView{
		Number: f.Number, Name: e.thing(f),
		Kind:     e.words.T("workorder.kind." + string(f.Kind)),
		Severity: e.words.T("workorder.severity." + string(f.Severity)), Mark: string(f.Severity),
		Found: e.words.T("workorder.found", e.step(f.Phase, f.Step), e.stamp(record.Stamp{At: f.Found, Tablet: f.Tablet, By: f.Finder()})),
		Words: lines(f.Words), Repair: lines(f.Finding.Repair),
		Open: f.Open(),
	}
	if f.GateGone {
		v.Gone = e.words.T("workorder.gate.gone", f.Before)
	}
	switch {
	case f.Severity == record.Watch:
		v.Gate = e.words.T("workorder.gate.none")
	case f.Stops():
		v.Gate = e.words.T("workorder.gate.all")
	case f.At.Before == nil:
		v.Gate = e.words.T("workorder.gate.back")
	default:
		v.Gate = e.words.T("workorder.gate", f.At.Before.Number, f.At.Before.Title)
	}
	switch {
	case f.Unproved():
		v.Gate = joined(v.Gate, e.words.T("workorder.look.unproved"))
	case f.Look != nil && f.Look.Given():
		v.Gate = joined(v.Gate, e.words.T("workorder.look", e.signer(*f.Look.Sealed), e.moment(f.Look.Sealed.At)))
	}
	if f.Repaired {
		v.Done = joined(e.words.T("workorder.done", e.stamp(f.Repair.Stamp)), f.Repair.Note)
	}
	for i, name := range f.Photos {
		link := e.options.Photo(name)
		photo, ok := e.order.Record.Photos[name]
		if link == "" || !ok {
			v.Away++
			continue
		}
		v.Photos = append(v.Photos, photoView{link, e.words.T("workorder.photo", i+1, f.Number), photo.Width, photo.Height})
	}
	return v
}

type wantView struct{ Name, Detail, Findings string }

// wants lists what is to be repaired or ordered.
func (e *Emitter) wants(s page.Shell) []wantView {
	var out []wantView
	for _, w := range e.order.Wants {
		name := w.Name
		if w.Thing != nil {
			name = called(w.Thing)
		}
		out = append(out, wantView{name, e.detail(s, w.Thing), numbers(w.Findings)})
	}
	return out
}

// called is a thing's name with the number or letter that figures give it.
func called(t *procedure.Thing) string {
	switch {
	case t.Fastener != nil:
		return t.Row.ID + " " + t.Row.Name
	case t.Part != nil && t.Part.Letter != "":
		return t.Part.Letter + " " + t.Row.Name
	}
	return t.Row.Name
}

// detail is what a supplier asks about a thing.
func (e *Emitter) detail(s page.Shell, t *procedure.Thing) string {
	switch {
	case t == nil:
		return ""
	case t.Fastener != nil:
		f := t.Fastener
		return joined(e.words.Count("workorder.pieces", max(f.Count, 1)), s.ThreadAndLength(f), f.Class)
	case t.Part != nil:
		side := ""
		if t.Part.Side != "" {
			side = e.words.T("side." + t.Part.Side)
		}
		return joined(side, s.Quantity(t.Part.Mass))
	case t.Fluid != nil:
		return s.Quantity(t.Fluid.Quantity)
	case t.Tool != nil:
		return s.Quantity(t.Tool.Quantity)
	case t.Connection != nil && t.Connection.Kind != "":
		return e.words.T("connection-kind." + t.Connection.Kind)
	}
	return ""
}

type renewalView struct{ Name, Detail, Step, Findings string }

// renewals lists what goes in new in the refitting, whatever was found.
func (e *Emitter) renewals(s page.Shell) []renewalView {
	var out []renewalView
	for _, r := range e.order.Renewals {
		t := &procedure.Thing{Fluid: r.Fluid, Fastener: r.Fastener, Part: r.Part, Tool: r.Tool}
		v := renewalView{Step: strconv.Itoa(r.Step), Findings: numbers(r.Findings), Detail: e.detail(s, t), Name: r.Row().Name}
		if r.Fastener != nil {
			v.Name = r.Fastener.ID + " " + v.Name
		}
		out = append(out, v)
	}
	return out
}

func numbers(list []int) string {
	var out []string
	for _, n := range list {
		out = append(out, strconv.Itoa(n))
	}
	return strings.Join(out, ", ")
}
