package refit

import (
	"math"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/state"
)

// arrange moves actions back that plain reverse order brings too early.
func (d *derivation) arrange() {
	d.washersFirst()
	d.tightenJoints()
	d.inOrder()
	d.releaseLate()
	d.inOrder() // what was pulled forward for a support may have passed its lock
	d.fillLast()
	d.takeOffLate()
	d.unbarLast()
}

// unbarLast leaves the zone of a load barred until the last load is off its gear.
func (d *derivation) unbarLast() {
	for _, a := range slices.Clone(d.acts) {
		if a.verb != procedure.Undo || !a.of.Condition.BarsZone() {
			continue
		}
		last := -1
		for i, b := range d.acts {
			if b.verb == procedure.Release && d.bearings(b)[hung] {
				last = i
			}
		}
		home := a.home
		d.move(slices.Index(d.acts, a), last)
		if !slices.ContainsFunc(d.acts, func(x *act) bool { return x != a && x.home == home }) {
			a.home = home // a step of its own, as on the way out
		}
	}
}

// find returns the index of the last act that fits or tightens the fastener; -1 when there is none.
func (d *derivation) find(verb procedure.Verb, f *state.Fastener) int {
	if d.places == nil {
		d.places = map[procedure.Verb][]int{}
		for _, v := range []procedure.Verb{procedure.Fit, procedure.Tighten} {
			d.places[v] = make([]int, len(d.out.Assembly.Fasteners))
		}
		d.moved = true
	}
	if d.moved {
		d.moved = false
		for _, places := range d.places {
			for i := range places {
				places[i] = -1
			}
		}
		for i, a := range d.acts {
			if x := a.of.Fastener; x != nil && d.places[a.verb] != nil {
				d.places[a.verb][x.Index] = i
			}
		}
	}
	return d.places[verb][f.Index]
}

// move takes the act at from and puts it behind the one at to, into its step. An act
// that is behind already stays; so does all when one of the two is not there.
func (d *derivation) move(from, to int) {
	if from < 0 || from >= to {
		return
	}
	a := d.acts[from]
	a.home = d.acts[to].home
	copy(d.acts[from:to], d.acts[from+1:to+1])
	d.acts[to] = a
	d.moved = true
}

// inOrder lets fasteners wait for those that must be tight before, and locks for what they lock.
func (d *derivation) inOrder() {
	for range d.out.Assembly.Fasteners { // a chain is no longer than this, and a ring of them is the check's business
		before := slices.Clone(d.acts)
		for _, f := range d.out.Assembly.Fasteners {
			for _, first := range f.First {
				d.move(d.tightened(f), d.find(procedure.Tighten, first))
			}
		}
		d.closeLocks()
		if slices.Equal(before, d.acts) {
			return
		}
	}
}

// joint names the parts that a fastener joins; fasteners of one joint have one name.
func (d *derivation) joint(f *state.Fastener) string {
	if len(f.Parts) < 2 {
		return f.ID
	}
	if d.joints == nil {
		d.joints = make([]string, len(d.out.Assembly.Fasteners))
	}
	name := &d.joints[f.Index]
	if *name == "" {
		var ids []string
		for _, p := range f.Parts {
			ids = append(ids, p.ID)
		}
		slices.Sort(ids)
		*name = strings.Join(ids, " ")
	}
	return *name
}

// tightenJoints lets tightening wait until all that the fastener lines up with is in, unless a part would
// be over it by then or it can be turned only on the bench.
func (d *derivation) tightenJoints() {
	ring := LinesUp(d.out.Assembly)
	last := map[int]int{} // the place of the last fit of each ring; a fastener in none has one of its own
	name := func(f *state.Fastener) int {
		if ring[f.Index] < 0 {
			return -1 - f.Index
		}
		return ring[f.Index]
	}
	for i, a := range d.acts {
		if a.verb == procedure.Fit && a.of.Fastener != nil {
			last[name(a.of.Fastener)] = i
		}
	}
	var waiting []*act
	var out []*act
	flush := func(home int, ready func(a *act) bool) {
		waiting = slices.DeleteFunc(waiting, func(a *act) bool {
			if !ready(a) {
				return false
			}
			a.home = home
			out = append(out, a)
			return true
		})
	}
	home := 0
	for i, a := range d.acts {
		if (a.verb == procedure.Fit || a.verb == procedure.Lift) && a.of.Part != nil { // nothing is tightened once the load hangs
			flush(home, func(w *act) bool { return d.buries(a.of.Part, w.of.Fastener, ring) })
		}
		if at, fits := last[nameOr(a, name)]; a.verb == procedure.Tighten && fits && at > i && !leavesBench(d.acts[i:at], a.of.Fastener) {
			waiting = append(waiting, a)
			continue
		}
		out = append(out, a)
		home = a.home
		flush(home, func(w *act) bool { return last[name(w.of.Fastener)] <= i })
	}
	d.acts, d.moved = out, true
}

// leavesBench reports whether one of the acts takes the unit away from the bench on which alone the fastener can be turned.
func leavesBench(acts []*act, f *state.Fastener) bool {
	return f.Bench != nil && slices.ContainsFunc(acts, func(a *act) bool {
		return (a.verb == procedure.Lift || a.verb == procedure.Fit) && (a.of.Part == f.Bench || slices.Contains(a.of.Moved, f.Bench))
	})
}

// nameOr is the name of an act's fastener; that of none for another act.
func nameOr(a *act, name func(*state.Fastener) int) int {
	if a.of.Fastener == nil {
		return math.MinInt
	}
	return name(a.of.Fastener)
}

// buries reports whether a fastener cannot be reached any more once the part is in its place: it lies under the part, or
// all that it joins does, base parts apart. A part that lines up with the fastener is a part of the same joint.
func (d *derivation) buries(p *state.Part, f *state.Fastener, ring []int) bool {
	if slices.Contains(f.Covers, p) {
		return true
	}
	under := false
	for _, q := range f.Parts {
		if q.Base {
			continue
		}
		if q == p || !slices.Contains(q.Covers, p) {
			return false
		}
		under = true
	}
	return under && !slices.ContainsFunc(p.Fasteners, func(g *state.Fastener) bool {
		return ring[g.Index] >= 0 && ring[g.Index] == ring[f.Index]
	})
}

// washersFirst puts tab washers in before the nuts that go on to them.
func (d *derivation) washersFirst() {
	for _, f := range d.out.Assembly.Fasteners {
		if f.Kind != procedure.TabWasher {
			continue
		}
		for _, n := range f.Locked {
			d.move(d.find(procedure.Fit, n), d.find(procedure.Fit, f))
		}
	}
}

// closeLocks closes each lock after what it locks is tight.
func (d *derivation) closeLocks() {
	for _, f := range d.out.Assembly.Fasteners {
		for _, n := range f.Locked {
			d.move(d.tightened(f), d.find(procedure.Tighten, n))
		}
	}
}

// releaseLate leaves a support on until the fasteners that take over are tight.
func (d *derivation) releaseLate() {
	for _, a := range slices.Clone(d.acts) {
		if a.verb != procedure.Release {
			continue
		}
		takers := d.takers(a)
		at := slices.Index(d.acts, a)
		last := -1
		for _, f := range takers {
			last = max(last, d.tightened(f))
		}
		if last < at {
			continue
		}
		if !d.wanted(a, at, last) {
			home := a.home
			d.move(at, last)
			if !slices.ContainsFunc(d.acts, func(x *act) bool { return x != a && x.home == home }) {
				a.home = home // a step of its own: what is looked at before it lets go is said there
			}
			continue
		}
		// Another part needs the support: tighten at once what is in by now.
		for _, f := range takers {
			if from := d.tightened(f); d.find(procedure.Fit, f) < at && from > at {
				t := d.acts[from]
				t.home = a.home
				d.acts, d.moved = slices.Insert(slices.Delete(d.acts, from, from+1), at, t), true
				at++
			}
		}
	}
}

// tightened returns the index of the act after which the fastener is tight; -1 when none does that.
func (d *derivation) tightened(f *state.Fastener) int {
	if tighten := d.find(procedure.Tighten, f); tighten >= 0 || !f.TightAtOnce() {
		return tighten
	}
	return d.find(procedure.Fit, f)
}

// takers returns the fasteners that hold the part again when the support comes
// away: the joints of those that came out while the support carried, or else all that carry the part.
func (d *derivation) takers(release *act) []*state.Fastener {
	hang := release.of
	var since, all []*state.Fastener
	moved := []*state.Part{hang.Part}
	off := d.departure(hang.Part)
	if off != nil && off.Index > hang.Index {
		moved = off.Moved
	}
	for _, p := range moved {
		for _, f := range p.Fasteners {
			outward := slices.ContainsFunc(f.Parts, func(q *state.Part) bool { return !slices.Contains(moved, q) })
			if !f.Carries() || f.Brought || !outward || d.find(procedure.Fit, f) < 0 || slices.Contains(all, f) {
				continue
			}
			all = append(all, f)
			if d.acts[d.find(procedure.Fit, f)].of.Index > hang.Index {
				since = append(since, f)
			}
		}
	}
	if len(since) == 0 {
		return all
	}
	// A joint is tight when all of it is.
	return slices.DeleteFunc(all, func(f *state.Fastener) bool {
		return !slices.ContainsFunc(since, func(g *state.Fastener) bool { return d.joint(f) == d.joint(g) })
	})
}

// wanted reports whether one of the released supports is put on another part between the two acts.
func (d *derivation) wanted(release *act, from, to int) bool {
	return slices.ContainsFunc(d.acts[from+1:to+1], func(a *act) bool {
		return a.verb == procedure.Hang && a.object.ID != release.object.ID && slices.ContainsFunc(a.with, func(r procedure.Ref) bool {
			return slices.ContainsFunc(release.with, func(q procedure.Ref) bool { return q.ID == r.ID })
		})
	})
}

// fillLast lets flushing and filling wait until the circuit is closed.
func (d *derivation) fillLast() {
	for _, verb := range []procedure.Verb{procedure.Flush, procedure.Fill} {
		for _, x := range d.out.Assembly.Fluids {
			at := slices.IndexFunc(d.acts, func(a *act) bool { return a.verb == verb && a.of.Fluid == x })
			closed := at
			for i, a := range d.acts {
				if a.verb == procedure.Connect && a.of.Connection.Fluid == x || a.verb == procedure.Flush && a.of.Fluid == x {
					closed = max(closed, i)
				}
			}
			for _, plug := range d.out.Plugs(x) {
				closed = max(closed, d.find(procedure.Tighten, plug))
			}
			d.move(at, closed)
		}
	}
}
