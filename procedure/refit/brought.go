package refit

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/state"
)

// takeOffLate leaves on what was brought for the job until nothing needs it any more: an eye until the sling is out of it, a
// bracket until what it holds is tight, and each until its own fasteners are out.
func (d *derivation) takeOffLate() {
	for _, a := range slices.Clone(d.acts) {
		if a.verb != procedure.Remove {
			continue
		}
		at, last := slices.Index(d.acts, a), -1
		for i, b := range d.acts {
			if d.needs(b, a.of) {
				last = i
			}
		}
		d.move(at, last)
	}
}

// needs reports whether an act needs what was brought, or must be done before it comes off.
func (d *derivation) needs(b *act, brought *state.Event) bool {
	f, p := brought.Fastener, brought.Part
	switch {
	case b.verb == procedure.Release:
		eye := f != nil && f.Kind == procedure.Bolt && len(f.Parts) == 1
		return eye && f.Joins(b.of.Part) || slices.ContainsFunc(b.with, func(r procedure.Ref) bool {
			x := d.out.Assembly.Support(r.ID)
			return x != nil && (slices.Contains(x.Eyes, f) || slices.ContainsFunc(x.Lugs, func(q *state.Part) bool { return q == p || f != nil && f.Joins(q) }))
		})
	case b.verb == procedure.Remove:
		return p != nil && b.of.Fastener != nil && b.of.Fastener.Joins(p)
	case b.verb == procedure.Tighten && f != nil && f.Carries():
		x := b.of.Fastener
		return x != f && x.Carries() && slices.ContainsFunc(x.Parts, func(q *state.Part) bool { return !q.Base && f.Joins(q) })
	}
	return false
}
