package refit

import (
	"matchmark/procedure"
)

// bearing is the way in which supports bear a part.
type bearing int

const (
	hung  bearing = iota // on a hoist, with or without a sling
	stood                // on a jack, a stand or a chock, from below
	held                 // in somebody's hands
	bearings
)

// bearings tells of an act's supports which ways of bearing are among them. An act
// that names none counts as hung: that asks for the most care.
func (d *derivation) bearings(a *act) (out [bearings]bool) {
	for _, r := range a.with {
		switch d.out.Assembly.Support(r.ID).Kind {
		case procedure.Hoist, procedure.Sling, procedure.ChainSling, procedure.EyeBolt:
			out[hung] = true
		case procedure.HandSupport:
			out[held] = true
		default:
			out[stood] = true
		}
	}
	if !out[stood] && !out[held] {
		out[hung] = true
	}
	return out
}

// borne is the way of bearing that counts: lifting gear before what stands below, hands last.
func (d *derivation) borne(a *act) bearing {
	among := d.bearings(a)
	switch {
	case among[hung]:
		return hung
	case among[stood]:
		return stood
	}
	return held
}

// confirmations are what the hold point before a lift asks for.
func (d *derivation) confirmations(lift *act) []string {
	p := lift.of.Part
	among := d.bearings(lift)
	var out []string
	if among[hung] || among[stood] {
		out = append(out, d.words("refit.hold.floor"))
	}
	if among[hung] {
		out = append(out, d.words("refit.hold.gear"))
	}
	if among[stood] {
		out = append(out, d.words("refit.hold.below"))
	}
	if among[held] {
		out = append(out, d.words("refit.hold.hands"))
	}
	if among[hung] || among[stood] {
		out = append(out, d.words("refit.hold.people"))
	}
	out = append(out, d.words("refit.hold.seat", short(name(&p.Row))))
	if p.Face != "" {
		out = append(out, d.words("refit.face", p.Face))
	}
	return out
}
