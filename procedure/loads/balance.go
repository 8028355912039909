package loads

import (
	"math"
	"math/big"
	"slices"

	"matchmark/procedure/position"
	"matchmark/procedure/state"
	"matchmark/procedure/statics"
)

// CrookedDegrees is the tilt from which a load that hangs, or stands, is said to do so badly; CrookedMM is taken for it where heights
// are not stated. They are the project's own choice: product standards test at 10 degrees, and none speaks of half-dismantled machines.
const (
	CrookedDegrees = 10
	CrookedMM      = 100
)

// SteadyKg is what a pair of hands holds on a part that hangs or stands.
//
// Source: the load constant of the revised NIOSH lifting equation, DHHS (NIOSH) 94-110.
const SteadyKg = 23

// Lack is something whose place is not stated.
type Lack struct {
	// One of these is set.
	Part     *state.Part // its centre of mass, or with Seat where it rests
	Fastener *state.Fastener
	Joint    *state.Connection
	Support  *state.Support
	Seat     bool
}

// Hold is a tie of the balance with what it stands for; one of Fastener, Joint, Line and Seat is set.
type Hold struct {
	Fastener *state.Fastener
	Joint    *state.Connection
	Line     *Line
	Seat     *state.Part
	At       statics.Point
}

// Share is the load on one hold, at one place, in kilograms.
type Share struct {
	Hold
	Least, Most float64
	// Known is true when the balance leaves it no choice, and Bounded when Most is a limit.
	Known, Bounded bool
	// Grounded is true for what leads to something that stays, and false for what joins two of the parts.
	Grounded bool
}

// Leg is the load on one leg of a sling.
type Leg struct {
	At statics.Point
	// Share is the vertical load that it takes, at most, and Pull the pull along it; Pull is 0 when its angle is not known.
	Share, Pull float64
}

// Balance is what holds a group of parts at one moment.
type Balance struct {
	Group state.Group
	Lines []Line
	// Judged is true when all places that it takes are stated; Lacks are those that are not. Placed is true when any is stated.
	Judged, Placed bool
	Lacks          []Lack
	// Line is true when places are known along one axis only.
	Line bool
	// Holds is true when the parts keep their balance.
	Holds bool
	// Shares are the loads on what holds them; Legs those on the legs of each line's sling.
	Shares []Share
	Legs   map[*Line][]Leg
	// Strained is true when joints hold the parts on what stays: what a support has there depends on how far it is screwed up, so
	// it is only asked whether all can do with what they are rated for.
	Strained bool
	// Beyond are the holds that would have to carry more than they are rated for.
	Overrated bool
	Beyond    []Hold
	// Fall says how they give way, About what they turn about and Falling which parts come down, when they do not keep their balance.
	Fall    *statics.Fall
	About   []Hold
	Falling []*state.Part
	// Free is how they hang when a single hook has them; nil otherwise. Angled is true when heights are known, and with them the tilt.
	Free   *statics.Hang
	Angled bool
	// Beside is true when the centre of mass lies beside all legs of the sling, so that some hang slack.
	Beside bool
}

// Of works out what holds the part's group. A group that stands on the floor or is off is not asked about: Judged is false, and nothing lacks.
func Of(s *state.State, p *state.Part) *Balance {
	b := &Balance{Group: s.Group(p), Legs: map[*Line][]Leg{}}
	at := s.Part(p).Is
	if p.Base || at != state.InPlace && at != state.Lifted {
		return b
	}
	for _, q := range b.Group.Parts {
		b.Lines = append(b.Lines, LinesOf(s, q)...)
	}
	a := &arranger{b: b, s: s, place: at}
	a.bodies()
	a.joints()
	a.lines()
	b.Judged = len(b.Lacks) == 0
	if !b.Judged || !b.Placed {
		b.Judged = false
		return b
	}
	a.solve()
	return b
}

// arranger puts the bodies and ties together.
type arranger struct {
	statics.Arrangement
	b     *Balance
	s     *state.State
	place state.Place
	holds []Hold // of each tie
	// flat is true once a place with one number was used.
	flat bool
}

func (a *arranger) lack(l Lack) {
	if !slices.Contains(a.b.Lacks, l) {
		a.b.Lacks = append(a.b.Lacks, l)
	}
}

// points returns stated places and notes how they are stated.
func (a *arranger) points(l position.List) []statics.Point {
	if l == "" {
		return nil
	}
	a.b.Placed = true
	a.flat = a.flat || l.Line()
	return l.Points()
}

// bodies makes a body of each part. A light part without a centre of mass has its mass where it is joined: see near.
func (a *arranger) bodies() {
	for _, q := range a.b.Group.Parts {
		mass := new(big.Rat)
		if !q.Mass.IsZero() {
			mass.SetFloat64(q.Kg)
		}
		body := statics.Body{Name: q.ID, Mass: mass, Centre: statics.At(0, 0, 0)}
		switch centre := a.points(q.Centre); {
		case centre != nil:
			body.Centre = centre[0]
		case q.Kg >= state.RestKg:
			a.lack(Lack{Part: q})
		default:
			body.Centre = a.near(q)
		}
		a.Bodies = append(a.Bodies, body)
	}
}

// near is the middle of the places at which a light part is joined, or else the centre of mass of what it is joined to.
func (a *arranger) near(q *state.Part) statics.Point {
	var all []statics.Point
	for _, f := range q.Fasteners {
		all = append(all, f.At.Points()...)
	}
	for _, f := range q.Fasteners {
		for _, r := range f.Parts {
			if len(all) == 0 && r != q && r.Centre != "" {
				all = r.Centre.Points()
			}
		}
	}
	if len(all) == 0 && q.Holder != nil {
		all = q.Holder.Centre.Points()
	}
	if len(all) == 0 {
		return statics.At(0, 0, 0)
	}
	sum := statics.At(0, 0, 0)
	for _, p := range all {
		sum.X.Add(sum.X, p.X)
		sum.Y.Add(sum.Y, p.Y)
		sum.Z.Add(sum.Z, p.Z)
	}
	n := big.NewRat(int64(len(all)), 1)
	for _, c := range []*big.Rat{sum.X, sum.Y, sum.Z} {
		c.Quo(c, n)
	}
	return sum
}

func (a *arranger) tie(t statics.Tie, h Hold) {
	h.At = t.At
	a.Ties, a.holds = append(a.Ties, t), append(a.holds, h)
}

// joints ties the parts to each other and to what stays.
func (a *arranger) joints() {
	for _, f := range a.s.Assembly.Fasteners {
		if !f.Carries() || !a.s.Fastener(f).In() {
			continue
		}
		at := f.At.Points()
		stiff := f.Stiff(max(f.Count, 1)/max(len(at), 1), onBase(f.Parts))
		a.joint(f.Parts, Hold{Fastener: f}, f.At, stiff, kilograms(f.Rated), Lack{Fastener: f})
	}
	for _, c := range a.s.Assembly.Connections {
		if c.Bears() && !a.s.Connection(c).Apart {
			a.joint(c.Parts, Hold{Joint: c}, c.At, c.Stiff(1, onBase(c.Parts)), kilograms(c.Rated), Lack{Joint: c})
		}
	}
	for _, q := range a.b.Group.Parts {
		if a.s.Pressed(q) {
			a.joint([]*state.Part{q, q.Holder}, Hold{Seat: q}, q.Centre, true, 0, Lack{Part: q})
		}
	}
	for i, q := range a.b.Group.Parts {
		if a.place != state.InPlace {
			return
		}
		seat := a.points(q.Seat)
		for _, p := range seat {
			a.tie(statics.Tie{Kind: statics.Push, Body: i, Other: statics.Ground, At: p, Along: statics.Up}, Hold{Seat: q})
		}
		if seat == nil && q.Kg >= state.RestKg && (q.Seated || !q.Rooted) {
			a.lack(Lack{Part: q, Seat: true}) // something holds it that the registers do not say
		}
	}
}

func onBase(parts []*state.Part) bool {
	return slices.ContainsFunc(parts, func(p *state.Part) bool { return p.Base })
}

// joint ties the first of some parts to the others, or each to what stays when one of them does.
func (a *arranger) joint(parts []*state.Part, h Hold, places position.List, stiff bool, rated float64, lack Lack) {
	var members []int
	grounded := false
	for _, q := range parts {
		if i := slices.Index(a.b.Group.Parts, q); i >= 0 {
			members = append(members, i)
		}
		grounded = grounded || q.Base
	}
	if len(members) == 0 || !grounded && len(members) < 2 {
		return
	}
	kind := statics.Pin
	if stiff {
		kind = statics.Fixed
	}
	pairs := make([][2]int, 0, len(members))
	for n, i := range members {
		switch {
		case grounded:
			pairs = append(pairs, [2]int{i, statics.Ground})
		case n > 0:
			pairs = append(pairs, [2]int{i, members[0]})
		}
	}
	at := a.points(places)
	for _, pair := range pairs {
		if at == nil {
			light := pair[0]
			if pair[1] != statics.Ground && a.b.Group.Parts[pair[1]].Kg < a.b.Group.Parts[light].Kg {
				light = pair[1]
			}
			if a.b.Group.Parts[light].Kg >= state.RestKg || pair[1] == statics.Ground {
				a.lack(lack)
				return
			}
			a.tie(statics.Tie{Kind: statics.Fixed, Body: pair[0], Other: pair[1], At: a.Bodies[light].Centre}, h)
			continue
		}
		for _, p := range at {
			t := statics.Tie{Kind: kind, Body: pair[0], Other: pair[1], At: p}
			if rated > 0 {
				t.Rated = new(big.Rat).SetFloat64(rated)
			}
			a.tie(t, h)
		}
	}
}

// lines ties the parts to their hooks, jacks and hands.
func (a *arranger) lines() {
	for i := range a.b.Lines {
		l := &a.b.Lines[i]
		body := slices.Index(a.b.Group.Parts, l.Part)
		at := a.points(l.At)
		if at == nil {
			a.lack(Lack{Support: l.Supports[0]})
			continue
		}
		t := statics.Tie{Kind: statics.Push, Body: body, Other: statics.Ground, Along: statics.Up}
		switch {
		case l.Hangs():
			t.Kind = statics.Pull
			at = []statics.Point{a.hook(l, a.Bodies[body].Centre, at)}
		case l.Supports[0].Ability().Hands:
			t.Kind, t.Rated = statics.Pin, big.NewRat(SteadyKg, 1)
		}
		for _, p := range at {
			t.At = p
			a.tie(t, Hold{Line: l})
		}
	}
	for _, x := range a.b.Group.Carriers {
		if x.Ability().Tipping {
			a.lack(Lack{Support: x}) // how it holds is not worked out
		}
	}
}

// hook is where a line's hook hangs: where that is stated, over the only place that it takes, or else over the centre of mass of what it
// lifts, as far as that lies between the legs. Legs give it its height by their angle.
func (a *arranger) hook(l *Line, centre statics.Point, at []statics.Point) statics.Point {
	if h := a.points(l.Hook); h != nil {
		return h[0]
	}
	if len(at) == 1 {
		return at[0]
	}
	h := statics.Within(centre, at, a.flat)
	if a.flat {
		return h
	}
	h.Z = new(big.Rat).Set(centre.Z) // not known
	if sine := l.sine(); sine > 0 && sine < 1 {
		top, spread := at[0].Z, 0.0
		for _, p := range at {
			if p.Z.Cmp(top) > 0 {
				top = p.Z
			}
			level := statics.Point{X: h.X, Y: h.Y, Z: p.Z}
			spread = max(spread, p.From(level).Length())
		}
		h.Z = new(big.Rat).SetFloat64(spread * sine / math.Sqrt(1-sine*sine))
		h.Z.Add(h.Z, top)
	}
	return h
}

// solve finds the balance.
func (a *arranger) solve() {
	b := a.b
	a.Line = a.flat
	b.Line = a.Line
	if a.hangsFree() {
		return
	}
	b.Strained = slices.ContainsFunc(a.Ties, func(t statics.Tie) bool { return t.Other == statics.Ground && !t.OneWay() })
	if b.Strained { // what a support can be made to take there has no limit: it must do with what it is rated for
		for i, h := range a.holds {
			if h.Line != nil && a.Ties[i].OneWay() {
				if weakest, kg := h.Line.Weakest(); weakest != nil {
					a.Ties[i].Rated = new(big.Rat).SetFloat64(kg)
				}
			}
		}
	}
	r := a.Solve()
	b.Holds, b.Fall, b.Overrated = r.Holds, r.Fall, r.Overrated
	for _, i := range r.Beyond {
		b.Beyond = append(b.Beyond, a.holds[i])
	}
	for i := range r.Loads {
		h := a.holds[i]
		x := r.Loads[i]
		b.Shares = append(b.Shares, Share{Hold: h, Least: x.Least, Most: x.Most, Known: x.Known(), Bounded: !x.NoMost && !x.NoLeast, Grounded: a.Ties[i].Other == statics.Ground})
	}
	if r.Holds {
		for _, x := range b.Shares {
			if x.Line != nil {
				a.legs(x.Line, x.At, b.Highest(x.Line))
			}
		}
	}
	if r.Fall != nil {
		for _, i := range r.Fall.Over {
			b.About = append(b.About, a.holds[i])
		}
		for _, i := range r.Fall.Bodies {
			b.Falling = append(b.Falling, b.Group.Parts[i])
		}
	}
}

// Highest is the load in kilograms that a line may have to take: no more than all that hangs together, unless it cannot do with
// that. Joints that are strained against it are not counted.
func (b *Balance) Highest(l *Line) float64 {
	least, most := 0.0, 0.0
	for _, x := range b.Shares {
		switch {
		case x.Line != l:
			continue
		case x.Bounded:
			most += x.Most
		default:
			most += b.Group.Kg
		}
		least += x.Least
	}
	return max(least, min(most, b.Group.Kg))
}

// hangsFree finds out how parts hang that one hook has, and nothing else.
func (a *arranger) hangsFree() bool {
	var only *Line
	for i, t := range a.Ties {
		switch h := a.holds[i]; {
		case h.Line != nil && h.Line.Hangs() && only == nil:
			only = h.Line
		case t.Other == statics.Ground:
			return false
		}
	}
	if only == nil {
		return false
	}
	b := a.b
	all := make([]int, len(a.Bodies))
	for i := range all {
		all[i] = i
	}
	centre, ok := a.Centre(all)
	if !ok {
		return false
	}
	at := only.At.Points()
	hook := a.hook(only, centre, at)
	b.Holds = true
	if len(at) > 1 && only.Hook == "" {
		near := statics.Within(centre, at, a.flat)
		b.Beside = near.X.Cmp(centre.X) != 0 || !a.flat && near.Y.Cmp(centre.Y) != 0
	}
	way := centre.From(hook)
	if a.Line {
		way.Y, way.Z = new(big.Rat), big.NewRat(-1, 1)
	}
	b.Angled = !a.Line && way.Z.Sign() != 0
	if !b.Angled {
		off := way
		off.Z = new(big.Rat)
		b.Free = &statics.Hang{Off: off.Length(), Above: true}
	} else {
		h := a.HangOn(hook, at)
		b.Free = &h
		b.Holds = h.Above
	}
	mass, _ := a.Mass().Float64()
	b.Shares = []Share{{Hold: Hold{Line: only, At: hook}, Least: mass, Most: mass, Known: true, Bounded: true}}
	if b.Angled && len(b.Free.Loads) == len(at) && len(at) > 1 && hookAbove(hook, at) {
		for i, p := range at {
			b.Legs[only] = append(b.Legs[only], Leg{At: p, Share: mass, Pull: b.Free.Loads[i].Most})
		}
		a.uprights(only, hook, mass)
		return true
	}
	a.legs(only, hook, mass)
	return true
}

func hookAbove(hook statics.Point, legs []statics.Point) bool {
	return !slices.ContainsFunc(legs, func(p statics.Point) bool { return hook.Z.Cmp(p.Z) <= 0 })
}

// Crooked reports whether parts that hang free do so badly.
func (b *Balance) Crooked() bool {
	return b.Free != nil && (b.Beside || b.Angled && (b.Free.Tilt > CrookedDegrees || !b.Free.Above) || !b.Angled && b.Free.Off > CrookedMM)
}

// legs shares the load of a hook among the legs of its sling: each has at most what leaves the others no less than nothing.
func (a *arranger) legs(l *Line, hook statics.Point, load float64) {
	shares := a.sharesOf(l, hook)
	if shares == nil {
		return
	}
	for i, p := range l.At.Points() {
		a.b.Legs[l] = append(a.b.Legs[l], Leg{At: p, Share: shares[i].Most * load, Pull: shares[i].Most * load / l.sine()})
	}
}

// uprights fills in the vertical shares of legs whose pulls are known.
func (a *arranger) uprights(l *Line, hook statics.Point, load float64) {
	for i, s := range a.sharesOf(l, hook) {
		a.b.Legs[l][i].Share = s.Most * load
	}
}

// sharesOf are the shares of one kilogram on the hook; nil when there are no legs, or the hook hangs outside them.
func (a *arranger) sharesOf(l *Line, hook statics.Point) []statics.Range {
	places := l.At.Points()
	if !l.Hangs() || len(places) < 2 {
		return nil
	}
	one := statics.Arrangement{Line: a.Line, Bodies: []statics.Body{{Mass: big.NewRat(1, 1), Centre: hook}}}
	for _, p := range places {
		one.Ties = append(one.Ties, statics.Tie{Kind: statics.Pull, Other: statics.Ground, At: p, Along: statics.Up})
	}
	if r := one.Solve(); r.Holds {
		return r.Loads
	}
	return nil
}
