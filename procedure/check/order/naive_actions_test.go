package order

import (
	"slices"

	"matchmark/procedure"
)

// do does one action and returns the codes of what is wrong with it.
func (n *naive) do(a *procedure.Action) []string {
	id := a.Object.ID
	t := n.m.Thing(id)
	var faults []string
	fault := func(wrong bool, code string) {
		if wrong {
			faults = append(faults, code)
		}
	}
	switch a.Verb {
	case procedure.Establish, procedure.Verify:
	case procedure.Hang, procedure.Release, procedure.SetDown:
	default:
		for _, c := range n.m.Conditions {
			fault(c.Energy && n.condition[c.ID] != "proved", "energy-first")
		}
	}
	switch {
	case t.Fastener != nil:
		n.turn(a.Verb, t.Fastener, fault)
	case t.Part != nil:
		n.move(a, t.Part, fault)
	case t.Connection != nil:
		c := t.Connection
		fault(n.apart[id], "removed-twice")
		for _, need := range names(c.Needs) {
			fault(n.condition[need] == "", "condition-not-held")
		}
		fault(c.Carries.ID != "" && !n.drained[c.Carries.ID], "opened-full")
		n.apart[id] = true
	case t.Fluid != nil:
		fault(n.drained[id], "removed-twice")
		n.drained[id] = true
	case t.Condition != nil:
		ready := true
		for _, need := range names(t.Condition.Needs) {
			unproved := n.m.Thing(need).Condition.Energy && n.condition[need] == "set" && n.proofs[need] > 0
			ready = ready && n.condition[need] != "" && !unproved
		}
		fault(!ready && a.Verb == procedure.Establish, "condition-unready")
		if a.Verb == procedure.Establish {
			if n.condition[id] == "" {
				n.condition[id] = "set"
			}
			break
		}
		n.proofs[id]--
		fault(n.condition[id] == "", "proved-first")
		if n.condition[id] != "" {
			n.condition[id] = "proved"
		}
	}
	return faults
}

func (n *naive) turn(verb procedure.Verb, f *procedure.Fastener, fault func(bool, string)) {
	for _, l := range n.m.Fasteners {
		if slices.Contains(names(l.Locks), f.ID) {
			fault(n.fastener[l.ID] == "tight", "lock-first")
		}
	}
	if f.Kind == procedure.TabWasher && verb == procedure.Remove {
		for _, nut := range names(f.Locks) {
			fault(n.fastener[nut] != "out", "lock-trapped")
		}
	}
	switch {
	case verb == procedure.Loosen:
		fault(n.fastener[f.ID] == "out", "not-there")
		if n.fastener[f.ID] == "tight" {
			n.fastener[f.ID] = "loose"
		}
	case verb == procedure.Remove:
		fault(n.fastener[f.ID] == "out", "removed-twice")
		n.fastener[f.ID] = "out"
	}
}

func (n *naive) move(a *procedure.Action, p *procedure.Part, fault func(bool, string)) {
	id := p.ID
	switch a.Verb {
	case procedure.Hang:
		for _, x := range names(a.With) {
			for _, q := range n.m.Parts {
				fault(q.ID != id && slices.Contains(n.on[q.ID], x) && n.place[q.ID] != "in", "support-busy")
			}
		}
		for _, x := range names(a.With) {
			if !slices.Contains(n.on[id], x) {
				n.on[id] = append(slices.Clone(n.on[id]), x)
			}
		}
	case procedure.Release:
		for _, x := range names(a.With) {
			fault(!slices.Contains(n.on[id], x), "not-there")
		}
		fault(n.place[id] == "air", "released-lifted")
		n.on[id] = slices.DeleteFunc(slices.Clone(n.on[id]), func(x string) bool { return slices.Contains(names(a.With), x) })
	case procedure.SetDown:
		fault(n.place[id] != "air", "set-down-unlifted")
		if n.place[id] != "down" {
			n.take(a, p, "down")
		}
	case procedure.Lift:
		set, _ := n.together(id)
		for _, x := range names(a.With) {
			carried := false
			for _, q := range set {
				carried = carried || slices.Contains(n.on[q], x)
			}
			fault(!carried, "lift-unsupported")
			for _, q := range n.m.Parts {
				fault(!slices.Contains(set, q.ID) && slices.Contains(n.on[q.ID], x), "support-busy")
			}
		}
		fault(n.place[id] == "air", "removed-twice")
		if n.place[id] == "in" || n.onBench(a, id) {
			n.leave(a, p, fault)
		} else if n.place[id] != "air" {
			n.take(a, p, "air")
		}
	case procedure.Remove:
		onBench := n.onBench(a, id)
		fault(n.place[id] != "in" && !onBench, "removed-twice")
		if n.place[id] == "in" || onBench {
			n.leave(a, p, fault)
		} else if n.place[id] != "off" {
			n.take(a, p, "off")
		}
	}
}

// leave takes a part off its place, or off what it rides on, and looks at what ties and covers it.
func (n *naive) leave(a *procedure.Action, p *procedure.Part, fault func(bool, string)) {
	leaving := n.leaving(a, p)
	from := n.place[p.ID]
	for _, q := range leaving {
		for _, x := range n.on[q] {
			named := slices.Contains(names(a.With), x) || slices.Contains(n.on[p.ID], x)
			fault(q != p.ID && !named, "support-busy")
		}
	}
	stays := func(joins []string) bool {
		if len(joins) == 1 {
			return from == "in"
		}
		return slices.ContainsFunc(joins, func(q string) bool { return !slices.Contains(leaving, q) && n.place[q] == from })
	}
	touches := func(joins []string) bool {
		return slices.ContainsFunc(joins, func(q string) bool { return slices.Contains(leaving, q) })
	}
	for _, f := range n.m.Fasteners {
		ties := f.Kind != procedure.Plug && f.Kind != procedure.Stud && f.Kind != procedure.Key
		fault(ties && n.fastener[f.ID] != "out" && touches(names(f.Joins)) && stays(names(f.Joins)), "still-joined")
	}
	for _, c := range n.m.Connections {
		fault(!n.apart[c.ID] && touches(names(c.Joins)) && stays(names(c.Joins)), "still-joined")
	}
	for _, q := range names(p.Under) {
		onOne := n.aboard[q] && (n.rides[q] == p.ID || n.rides[q] == n.rides[p.ID]) || n.aboard[p.ID] && n.rides[p.ID] == q
		fault(n.place[q] == from && (from == "in" || onOne), "still-covered")
	}
	if a.Verb == procedure.Remove {
		n.take(a, p, "off")
	} else {
		n.take(a, p, "air")
	}
}

func (n *naive) leaving(a *procedure.Action, p *procedure.Part) []string {
	set, anchored := n.together(p.ID)
	if n.place[p.ID] == "in" && anchored || n.onBench(a, p.ID) && slices.Contains(set, n.rides[p.ID]) {
		return []string{p.ID}
	}
	return set
}

// onBench reports whether the action takes a part off what it rides on, away from its place.
func (n *naive) onBench(a *procedure.Action, id string) bool {
	return n.aboard[id] && (a.Verb == procedure.Remove || a.Verb == procedure.Lift && n.place[id] != "air")
}

func (n *naive) take(a *procedure.Action, p *procedure.Part, to string) {
	moving := n.leaving(a, p)
	departs := a.Verb != procedure.SetDown && (n.place[p.ID] == "in" || n.onBench(a, p.ID))
	for _, q := range moving {
		if departs {
			n.aboard[q] = q != p.ID
			if q != p.ID {
				n.rides[q] = p.ID
			}
		}
		n.place[q] = to
		if to == "off" {
			delete(n.on, q)
		}
	}
}
