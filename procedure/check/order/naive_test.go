package order

import (
	"slices"
	"strings"

	"matchmark/procedure"
)

// naive is the slow, obvious second computation: the same rules over plain maps,
// worked out afresh after each action and written without the packages under test.
type naive struct {
	m         *procedure.Machine
	fastener  map[string]string   // tight, loose, out
	place     map[string]string   // in, air, down, off
	rides     map[string]string   // what a part left its place with
	aboard    map[string]bool     // still on it
	on        map[string][]string // supports on a part
	apart     map[string]bool
	drained   map[string]bool
	condition map[string]string // "", set, proved
	proofs    map[string]int    // how often a condition is verified from here on
}

func newNaive(m *procedure.Machine) *naive {
	n := &naive{
		m: m, fastener: map[string]string{}, place: map[string]string{}, rides: map[string]string{}, aboard: map[string]bool{}, on: map[string][]string{},
		apart: map[string]bool{}, drained: map[string]bool{}, condition: map[string]string{}, proofs: map[string]int{},
	}
	for _, f := range m.Fasteners {
		n.fastener[f.ID] = "tight"
	}
	for _, p := range m.Parts {
		n.place[p.ID] = "in"
	}
	return n
}

func (n *naive) copy() *naive {
	c := *n
	c.fastener, c.place, c.rides, c.condition = clone(n.fastener), clone(n.place), clone(n.rides), clone(n.condition)
	c.on, c.apart, c.drained, c.aboard = clone(n.on), clone(n.apart), clone(n.drained), clone(n.aboard)
	return &c
}

func clone[V any](m map[string]V) map[string]V {
	out := map[string]V{}
	for k, v := range m {
		out[k] = v
	}
	return out
}

func carriesWeight(f *procedure.Fastener) bool {
	return len(f.Joins) > 1 && (f.Kind == procedure.Bolt || f.Kind == procedure.Nut || f.Kind == procedure.Screw)
}

func names(refs []procedure.Ref) []string {
	var out []string
	for _, r := range refs {
		out = append(out, r.ID)
	}
	return out
}

func (n *naive) part(id string) *procedure.Part { return n.m.Thing(id).Part }

// together returns the parts that hang together with p, and whether they hang on a base part.
func (n *naive) together(p string) (set []string, anchored bool) {
	set = []string{p}
	if n.part(p).Base {
		return set, true
	}
	for changed := true; changed; {
		changed = false
		for _, f := range n.m.Fasteners {
			if !carriesWeight(f) || n.fastener[f.ID] == "out" || !slices.ContainsFunc(names(f.Joins), func(q string) bool { return slices.Contains(set, q) }) {
				continue
			}
			for _, q := range names(f.Joins) {
				if n.part(q).Base {
					anchored = true
				} else if !slices.Contains(set, q) && n.place[q] == n.place[p] {
					set = append(set, q)
					changed = true
				}
			}
		}
	}
	return set, anchored
}

// held reports whether a part in its place stays there, and the mass that falls if it does not.
func (n *naive) held(p string) (bool, float64) {
	set, anchored := n.together(p)
	kg := 0.0
	for _, q := range set {
		if mass := n.part(q).Mass; !mass.IsZero() {
			kg += mass.Float("kg")
		}
		if slices.ContainsFunc(n.on[q], func(x string) bool { return n.m.Thing(x).Support.Ability().Bears() }) {
			anchored = true
		}
	}
	seated := !slices.ContainsFunc(n.m.Fasteners, func(f *procedure.Fastener) bool { return carriesWeight(f) && slices.Contains(names(f.Joins), p) })
	return anchored || seated, kg
}

// falls returns the heaviest group that was held, or not there yet, and now hangs in its place on nothing.
func (n *naive) falls(before *naive) float64 {
	most := 0.0
	for _, p := range n.m.Parts {
		if p.Base || n.place[p.ID] != "in" {
			continue
		}
		now, kg := n.held(p.ID)
		was, _ := before.held(p.ID)
		if !now && (was || before.place[p.ID] != "in") {
			most = max(most, kg)
		}
	}
	return most
}

// step does a step's actions and returns the codes of what is wrong. afterHold is true when the step before ends with a hold point.
func (n *naive) step(s *procedure.Step, afterHold bool) []string {
	start := n.copy()
	var faults []string
	worked, letGo := false, false
	for _, a := range s.Actions() {
		before := n.copy()
		faults = append(faults, n.do(a)...)
		if a.Verb == procedure.Lift && (!afterHold || worked) {
			faults = append(faults, "lift-without-hold")
		}
		worked = worked || a.Verb != procedure.Verify && a.Verb != procedure.Lift
		letGo = letGo || letsGo(a)
		if limit := byHand(s.People); n.falls(before) > limit && letsGo(a) {
			faults = append(faults, "hangs-on-nothing")
		}
	}
	if letGo && n.falls(start) >= 10 {
		faults = append(faults, "hangs-on-nothing")
	}
	slices.Sort(faults)
	return slices.Compact(faults)
}

// letsGo reports whether the action can leave a part without a hold: it takes a fastener or a support away.
func letsGo(a *procedure.Action) bool {
	_, part := strings.CutPrefix(a.Object.ID, "p")
	return a.Verb == procedure.Remove && !part || a.Verb == procedure.Release
}

// judge walks through a job and returns the first step with a fault, counted from 1, and its codes; 0 when there is none.
func judge(m *procedure.Machine, steps []*procedure.Step) (int, string) {
	n := newNaive(m)
	for _, s := range steps {
		for _, a := range s.Actions() {
			if a.Verb == procedure.Verify {
				n.proofs[a.Object.ID]++
			}
		}
	}
	hold := false
	for i, s := range steps {
		var faults []string
		for _, need := range names(s.Needs) {
			if n.condition[need] == "" {
				faults = append(faults, "condition-not-held")
			}
		}
		faults = append(faults, n.step(s, hold)...)
		if len(faults) > 0 {
			slices.Sort(faults)
			return i + 1, strings.Join(slices.Compact(faults), " ")
		}
		hold = false
		for _, b := range s.Blocks {
			if _, ok := b.(*procedure.Hold); ok {
				hold = true
			}
		}
	}
	return 0, ""
}

// byHand is what one, two or three people hold: 10 kg with one hand and 23 kg with both of each
// helper, of which two people get two thirds and three half (HSE L23, paragraphs 119 and 120, by two copies).
func byHand(people int) float64 { return []float64{10, 33 * 2.0 / 3, 56 / 2}[people-1] }
