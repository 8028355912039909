// Package guess reads a procedure with faults as it was most likely meant, so that
// the order of work can be judged all the same: what is wrong both as the procedure
// stands and as it was likely meant is wrong whatever the faults hide; what is wrong
// in one reading only follows from them and is not judged. Nothing of a guess is ever shown or published.
package guess

import (
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// Meant returns the procedure as it was likely meant, and those of the faults that
// can bear on the order of work; without any the procedure itself. The faults are
// errors in the files that the procedure is read from.
func Meant(p *procedure.Procedure, faults []diagnostic.Diagnostic) (*procedure.Procedure, []diagnostic.Diagnostic) {
	if len(faults) == 0 {
		return p, nil
	}
	g := &guesser{p: p, machine: cloneMachine(p.Machine)}
	var out []diagnostic.Diagnostic
	for _, d := range faults {
		if g.bears(d) {
			out = append(out, d)
		}
	}
	if len(out) == 0 {
		return p, nil
	}
	g.machine.Index()
	meant := *p
	meant.Machine = g.machine
	meant.Steps = g.steps(p.Steps, out)
	if p.RefitFile != nil {
		back := *p.RefitFile
		back.Steps = g.steps(back.Steps, out)
		meant.RefitFile = &back
	}
	return &meant, out
}

type guesser struct {
	p       *procedure.Procedure
	machine *procedure.Machine
}

// bears reports whether a fault can bear on the order of work, and puts the machine right as far as the fault is there.
func (g *guesser) bears(d diagnostic.Diagnostic) bool {
	if d.Span.File == nil || harmless[d.Code] {
		return false
	}
	if d.Span.File.Name == g.p.Machine.File.Name {
		return g.row(d)
	}
	line, _ := lineAt(d.Span)
	s := stepAt(g.p.WrittenSteps(), d.Span)
	switch {
	case g.isInclusion(d):
		return true
	case s == nil, g.ofAnother(s, d), strings.HasPrefix(line, "::: figure"), showsFigure(s, d.Span):
		return false
	}
	return true
}

// ofAnother reports whether a fault in steps that several procedures take in is not there on this one's machine.
func (g *guesser) ofAnother(s *procedure.Step, d diagnostic.Diagnostic) bool {
	name := d.Span.Text()
	switch d.Code {
	case "undefined-reference":
		return g.p.Machine.Thing(name) != nil || g.p.Step(name) != nil || g.p.Machine.Variant(name) != nil || g.p.Figure(name) != nil
	case "wrong-thing":
		t := g.p.Machine.Thing(name)
		return t == nil || slices.ContainsFunc(s.Actions(), func(a *procedure.Action) bool {
			rule, _ := a.Verb.Rule()
			return a.Object.Span == d.Span && slices.Contains(rule.Objects, t.Kind)
		})
	}
	return false
}

// harmless are the codes of faults in a step that leave its actions as they are.
var harmless = map[diagnostic.Code]bool{
	"bad-time": true, "missing-title": true, "missing-reason": true, "missing-limit": true, "raw-html": true, "picture-in-text": true,
	"link-target": true, "undefined-link": true, "idle-attribute": true, "idle-geometry": true, "list-only": true, "unclosed-comment": true,
	"missing-picture": true, "picture-outside": true, "picture-too-large": true, "picture-unusable": true, "balloon-outside": true, "balloon-syntax": true,
	"property-class": true, "thread-designation": true, "torque-window": true, "drive-size": true, "sling-angle": true,
	"empty-step": true, "hold-not-last": true, "text-between-steps": true, "missing-attribute": true, "repeated-include": true, "include-cycle": true,
	"repeated-attribute": true, "empty-expected": true, "hand-lift": true, "gear-capacity": true, "own-fault": true,
}

// showsFigure reports whether a place is where a step or a callout of it names its figure.
func showsFigure(s *procedure.Step, at text.Span) bool {
	found := s.Figure.Span == at
	for _, b := range s.Blocks {
		procedure.EachField(b, func(field *procedure.Field, value any) {
			r, one := value.(*procedure.Ref)
			found = found || one && field.Refers == "figure" && r.Span == at
		})
	}
	return found
}

// row puts the rows right that a fault of the machine's file lies on. It is false for a fault that is on no register.
func (g *guesser) row(d diagnostic.Diagnostic) bool {
	region := Region(d)
	found := false
	in := func(r procedure.Row) bool {
		hit := r.Span.File == d.Span.File && region.Start <= r.Span.Start && r.Span.Start < region.End
		found = found || hit
		return hit
	}
	m := g.machine
	for _, x := range m.Parts {
		if in(x.Row) {
			x.Under, x.Twin, x.OnBench, x.Variants = g.names(x.Under), g.name(x.Twin), g.name(x.OnBench), g.variants(x.Variants)
			if x.Mass.IsZero() {
				x.Mass = measure.Must("1 g")
			}
		}
	}
	for _, x := range m.Fasteners {
		if in(x.Row) {
			x.Joins, x.Locks, x.OnBench, x.Variants = g.names(x.Joins), g.names(x.Locks), g.name(x.OnBench), g.variants(x.Variants)
			if x.Torque.IsZero() && x.NoTorque == "" {
				x.NoTorque = "not known"
			}
			if x.Kind == "" {
				x.Kind = procedure.Bolt
			}
		}
	}
	for _, x := range m.Connections {
		if in(x.Row) {
			x.Joins, x.Needs, x.Carries, x.Variants = g.names(x.Joins), g.names(x.Needs), g.name(x.Carries), g.variants(x.Variants)
		}
	}
	for _, x := range m.Fluids {
		if in(x.Row) {
			x.Variants = g.variants(x.Variants)
		}
	}
	for _, x := range m.Supports {
		if in(x.Row) {
			x.Variants = g.variants(x.Variants)
			if x.Capacity.IsZero() {
				x.Capacity = measure.Must("1000000 kg")
			}
		}
	}
	for _, x := range m.Conditions {
		if in(x.Row) {
			x.Needs, x.LostBy, x.Variants = g.names(x.Needs), g.names(x.LostBy), g.variants(x.Variants)
			x.By, x.ProvedAt = g.names(x.By), g.names(x.ProvedAt)
		}
	}
	for _, x := range m.Energies {
		if in(x.Row) {
			x.Isolated, x.Proved, x.Variants = g.names(x.Isolated), g.names(x.Proved), g.variants(x.Variants)
			x.Reaches, x.Guards = g.names(x.Reaches), g.names(x.Guards)
		}
	}
	if !found && slices.ContainsFunc(m.Tools, func(x *procedure.Tool) bool { return in(x.Row) }) {
		return false
	}
	line, _ := lineAt(d.Span)
	lost := !found && (strings.HasPrefix(line, "|") || region.End-region.Start > len(line)+1)
	if lost {
		// Nobody knows what the row says: whatever hangs or is tied may do so by it.
		for _, x := range m.Parts {
			x.Base = true
		}
	}
	return found || lost
}

// name is the name that is registered, or else the one that was likely meant.
func (g *guesser) name(r procedure.Ref) procedure.Ref {
	if r.ID == "" || g.p.Machine.Thing(r.ID) != nil {
		return r
	}
	var names []string
	for _, t := range g.p.Machine.Things() {
		names = append(names, t.Row.ID)
	}
	if near := diagnostic.Nearest(r.ID, names); near != "" {
		r.ID = near
	}
	return r
}

func (g *guesser) names(refs []procedure.Ref) []procedure.Ref {
	out := slices.Clone(refs)
	for i := range out {
		out[i] = g.name(out[i])
	}
	return out
}

// variants are those that were likely meant; a name that is like none stands for all of them.
func (g *guesser) variants(refs []procedure.Ref) []procedure.Ref {
	var names []string
	for _, v := range g.p.Machine.Variants {
		names = append(names, v.ID)
	}
	var out []procedure.Ref
	for _, r := range refs {
		if !slices.Contains(names, r.ID) {
			near := diagnostic.Nearest(r.ID, names)
			if near == "" {
				return nil
			}
			r.ID = near
		}
		out = append(out, r)
	}
	return out
}

// stepAt is the step that a place lies in: the last that starts before it in its file.
func stepAt(steps []*procedure.Step, at text.Span) *procedure.Step {
	var found *procedure.Step
	for _, s := range steps {
		if s.Span.File != nil && s.Span.File.Name == at.File.Name && s.Span.Start <= at.Start && (found == nil || s.Span.Start > found.Span.Start) {
			found = s
		}
	}
	return found
}

// lineAt returns the line that a place starts on, and its bounds.
func lineAt(s text.Span) (string, text.Span) {
	start, end := s.File.LineBounds(s.File.LineOf(min(s.Start, len(s.File.Source))))
	return strings.TrimRight(string(s.File.Source[start:end]), "\r\n"), s.File.Span(start, end)
}

// cloneMachine copies a machine with its rows, so that a guess changes nobody else's.
func cloneMachine(m *procedure.Machine) *procedure.Machine {
	out := *m
	out.Parts, out.Fasteners, out.Connections = clone(m.Parts), clone(m.Fasteners), clone(m.Connections)
	out.Fluids, out.Supports, out.Conditions, out.Tools = clone(m.Fluids), clone(m.Supports), clone(m.Conditions), clone(m.Tools)
	out.Energies = clone(m.Energies)
	return &out
}

func clone[T any](rows []*T) []*T {
	out := make([]*T, len(rows))
	for i, x := range rows {
		row := *x
		out[i] = &row
	}
	return out
}
