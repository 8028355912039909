// Package fitting works out the tools of a step from what the step does: what turns the drive of its fasteners, the
// torque wrench that reaches their torque, and what is kept for certain acts and things.
package fitting

import (
	"cmp"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/contact"
	"matchmark/procedure/fastening"
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// Fault is an act for which no tool can be filled in: none fits, or several fit equally.
type Fault struct {
	Act      *procedure.Action
	Fastener *procedure.Fastener
	// Torque is true when a torque wrench is missing, false for what turns the drive.
	Torque bool
	// Alike are the tools that fit equally; none when no tool fits.
	Alike []*procedure.Tool
}

// Tools lists the tools of a step: those that its author lists, and those that fit its acts, in the order of the
// register. On a machine whose tools do not say what they fit, and for an author who wants none, it is the author's list.
//
// What the author lists goes first: nothing is filled in beside a listed tool that does the same. A tool that is kept
// for an act goes before one that fits by its drive or its torque alone. Of several torque wrenches the one with the
// least range is taken: it reads most finely.
//
// What the step uses up belongs to them.
func Tools(m *procedure.Machine, s *procedure.Step) ([]procedure.Ref, []Fault) {
	out, faults := tools(m, s)
	for _, r := range s.Consumed {
		if !slices.ContainsFunc(out, func(o procedure.Ref) bool { return o.ID == r.ID }) {
			out = append(slices.Clip(out), r)
		}
	}
	return out, faults
}

// tools are those that a step's author lists, and those that fit its acts.
func tools(m *procedure.Machine, s *procedure.Step) ([]procedure.Ref, []Fault) {
	switch {
	case !s.FindTools:
		return s.Tools, nil
	case m == nil || !slices.ContainsFunc(m.Tools, func(t *procedure.Tool) bool { return !t.Use.Empty() || t.Against != "" }):
		return s.Listed, nil
	}
	f := finder{m: m, s: s, found: map[*procedure.Tool]bool{}}
	for _, r := range s.Listed {
		if t := m.Thing(r.ID); t != nil && t.Tool != nil {
			f.found[t.Tool] = true
			f.listed = append(f.listed, t.Tool)
		}
	}
	for _, b := range s.Blocks {
		f.variants = variantsOf(s, b)
		for _, a := range b.Shows().Actions {
			f.act(a)
		}
	}
	f.wrenches()
	return f.refs(), f.faults
}

// variantsOf are the variants that a block of a step is for; none for all.
func variantsOf(s *procedure.Step, b procedure.Block) []procedure.Ref {
	if of := b.Base().Variants; len(of) > 0 {
		return of
	}
	return s.Variants
}

// finder gathers the tools of one step.
type finder struct {
	m      *procedure.Machine
	s      *procedure.Step
	listed []*procedure.Tool
	found  map[*procedure.Tool]bool
	faults []Fault
	// variants are those of the act in hand; none for all.
	variants []procedure.Ref
	// torques are the acts that need a torque wrench.
	torques []torque
}

type torque struct {
	act      *procedure.Action
	fastener *procedure.Fastener
	variants []procedure.Ref
}

// refs are the tools found, in the order of the register, and behind them what else is listed.
func (f *finder) refs() (out []procedure.Ref) {
	for _, t := range f.m.Tools {
		if f.found[t] {
			out = append(out, procedure.Ref{ID: t.ID, Span: f.spanOf(t)})
		}
	}
	for _, r := range f.s.Listed {
		if t := f.m.Thing(r.ID); t == nil || t.Tool == nil {
			out = append(out, r)
		}
	}
	return out
}

// spanOf is where a tool is listed, or the step that it is filled in for.
func (f *finder) spanOf(t *procedure.Tool) text.Span {
	for _, r := range f.s.Listed {
		if r.ID == t.ID {
			return r.Span
		}
	}
	return f.s.Span
}

// act fills in what one act needs.
func (f *finder) act(a *procedure.Action) {
	var fastener *procedure.Fastener
	if t := f.m.Thing(a.Object.ID); t != nil {
		fastener = t.Fastener
	}
	handled := fastener != nil && turns(a.Verb) && fastener.Drive != "" && f.turner(a, fastener)
	if fastener != nil && a.Verb == procedure.Tighten && fastener.Torque.Dimension() == measure.Torque {
		f.torques = append(f.torques, torque{a, fastener, f.variants})
	}
	for _, r := range a.With { // what a fluid goes into
		if t := f.m.Thing(r.ID); t != nil && t.Tool != nil {
			f.found[t.Tool] = true
		}
	}
	f.protection(a)
	for _, t := range f.m.Tools {
		u := &t.Use
		switch {
		case len(u.Drives) > 0 || !u.Names(a) || !f.there(t):
		case u.High.IsZero():
			f.found[t] = true
		case a.Verb != procedure.Tighten && handled && u.Reaches(fastener.Torque): // the handle of what was filled in
			f.found[t] = true
		}
	}
}

// protection fills in what protects from the hazards that an act brings people close to, where nothing listed or found does.
func (f *finder) protection(a *procedure.Action) {
	for _, n := range contact.Needs(f.m, f.s, a) {
		serves := func(t *procedure.Tool) bool { return contact.Protects(t, n) }
		if slices.ContainsFunc(f.m.Tools, func(t *procedure.Tool) bool { return f.found[t] && serves(t) }) {
			continue
		}
		for _, t := range f.m.Tools {
			if t.Against != "" && f.there(t) && serves(t) {
				f.found[t] = true
				break
			}
		}
	}
}

// turns reports whether a verb turns a fastener with a tool; what is fitted is run in by hand.
func turns(v procedure.Verb) bool {
	return v == procedure.Remove || v == procedure.Loosen || v == procedure.Tighten
}

// turner fills in what turns the drive; it returns true for one that fits by its drive alone, and needs a handle.
func (f *finder) turner(a *procedure.Action, x *procedure.Fastener) bool {
	fits := func(t *procedure.Tool) bool {
		u := &t.Use
		return slices.ContainsFunc(u.Drives, func(d string) bool { return SameDrive(d, x.Drive) }) && (!u.OfActs() || u.Names(a)) &&
			(a.Verb != procedure.Tighten || u.High.IsZero() || u.Reaches(x.Torque))
	}
	if slices.ContainsFunc(f.listed, fits) {
		return false
	}
	if !slices.ContainsFunc(f.m.Tools, func(t *procedure.Tool) bool { return len(t.Use.Drives) > 0 }) {
		return false // no tool says what it turns
	}
	t := f.one(a, x, false, fits, func(a, b *procedure.Tool) int { return 0 })
	return t != nil && !t.Use.OfActs()
}

// wrenches fills in the torque wrenches, from the greatest torque down: one that is there for a greater torque serves where it reaches.
func (f *finder) wrenches() {
	if !slices.ContainsFunc(f.m.Tools, func(t *procedure.Tool) bool { return !t.Use.High.IsZero() && !t.Use.OfActs() }) {
		return // no tool says what it is set to
	}
	slices.SortStableFunc(f.torques, func(a, b torque) int { return b.fastener.Torque.Compare(a.fastener.Torque) })
	for _, x := range f.torques {
		f.variants = x.variants
		fits := func(t *procedure.Tool) bool {
			u := &t.Use
			return u.Reaches(x.fastener.Torque) && (len(u.Drives) > 0 && f.found[t] || len(u.Drives) == 0 && (!u.OfActs() || u.Names(x.act)))
		}
		if !slices.ContainsFunc(f.m.Tools, func(t *procedure.Tool) bool { return f.found[t] && fits(t) }) {
			f.one(x.act, x.fastener, true, fits, func(a, b *procedure.Tool) int { return a.Use.High.Compare(b.Use.High) })
		}
	}
}

// one fills in the tool that fits best: of those for certain acts, or else of the others, the one that comes first in an order.
func (f *finder) one(a *procedure.Action, x *procedure.Fastener, torque bool, fits func(*procedure.Tool) bool, order func(a, b *procedure.Tool) int) *procedure.Tool {
	kept := func(t *procedure.Tool) int {
		if t.Use.OfActs() {
			return 0
		}
		return 1
	}
	var best []*procedure.Tool
	for _, t := range f.m.Tools {
		if !f.there(t) || !fits(t) {
			continue
		}
		rank := -1
		if len(best) > 0 {
			rank = cmp.Or(cmp.Compare(kept(t), kept(best[0])), order(t, best[0]))
		}
		switch {
		case rank < 0:
			best = []*procedure.Tool{t}
		case rank == 0:
			best = append(best, t)
		}
	}
	if len(best) != 1 {
		f.faults = append(f.faults, Fault{a, x, torque, best})
		return nil
	}
	f.found[best[0]] = true
	return best[0]
}

// there reports whether a tool is there on one of the variants of the act in hand.
func (f *finder) there(t *procedure.Tool) bool {
	if len(t.Variants) == 0 || len(f.variants) == 0 {
		return true
	}
	return slices.ContainsFunc(t.Variants, func(r procedure.Ref) bool {
		return slices.ContainsFunc(f.variants, func(v procedure.Ref) bool { return v.ID == r.ID })
	})
}

// SameDrive reports whether two drives are the same, however they are written.
func SameDrive(a, b string) bool {
	x, errX := fastening.ParseDrive(a)
	y, errY := fastening.ParseDrive(b)
	if errX == nil && errY == nil {
		return x == y
	}
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}
