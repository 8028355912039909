package order

import (
	"fmt"
	"slices"
	"strings"

	"pgregory.net/rapid"

	"matchmark/procedure"
	"matchmark/procedure/state/statetest"
	"matchmark/procedure/text"
)

// drawMachine draws a machine: parts on a frame or on each other, with bolts, tab
// washers, covers, hoses with oil, plugs that need slack, and lifting gear.
func drawMachine(t *rapid.T) *procedure.Machine {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("base frame")
	n := rapid.IntRange(1, 4).Draw(t, "parts")
	number := 0
	for i := range n {
		host := "frame"
		if i > 0 && rapid.IntRange(0, 2).Draw(t, "host") == 0 {
			host = fmt.Sprintf("p%d", rapid.IntRange(0, i-1).Draw(t, "which"))
		}
		var covers []string
		for j := i + 1; j < n; j++ {
			if rapid.IntRange(0, 3).Draw(t, "cover") == 0 {
				covers = append(covers, fmt.Sprintf("p%d", j))
			}
		}
		line("part p%d %v under=%s", i, rapid.SampledFrom([]int{2, 7, 12, 20, 60}).Draw(t, "mass"), strings.Join(covers, ","))
		for range rapid.IntRange(1, 3).Draw(t, "bolts") {
			number++
			line("bolt %d p%d %s", number, i, host)
			if rapid.IntRange(0, 4).Draw(t, "washer") == 0 {
				number++
				line("washer %d p%d %s locks=%d", number, i, host, number-1)
			}
		}
		switch rapid.IntRange(0, 5).Draw(t, "connection") {
		case 0:
			line("hose c%d p%d frame carries=oil", i, i)
		case 1:
			line("belt c%d p%d frame needs=slack", i, i)
		case 2:
			line("cable c%d p%d", i, i)
		}
	}
	line("fluid oil")
	line("hoist hoist 1000\nsling sling 1000\njack jack 1000\nstand pallet 1000")
	line("energy isolated undo\nenergy dead needs=isolated undo\ncondition slack needs=dead undo")
	return statetest.Machine(b.String())
}

// drawRemoval draws a job that takes every part off, each action one that is
// possible then. The naive model says which are. The job may come to a dead end
// (ok is false): a cover that rides on what it covers.
func drawRemoval(t *rapid.T, m *procedure.Machine) (p *procedure.Procedure, ok bool) {
	w := &walk{t: t, m: m, now: newNaive(m)}
	for _, a := range []string{"establish isolated", "verify isolated", "establish dead", "verify dead"} {
		w.take(a)
		w.close()
	}
	for range 200 {
		if w.finished() {
			w.close()
			return statetest.Procedure(m, strings.Join(w.lines, "\n")), true
		}
		if !w.next() {
			break
		}
	}
	return nil, false
}

type walk struct {
	t     *rapid.T
	m     *procedure.Machine
	now   *naive
	start *naive // before the open step; nil when none is open
	// open holds the actions of the step that is being written.
	open   []string
	people int
	lines  []string
}

func (w *walk) finished() bool {
	return !slices.ContainsFunc(w.m.Parts, func(p *procedure.Part) bool {
		return !p.Base && (w.now.place[p.ID] == "in" || w.now.place[p.ID] == "air" || len(w.now.on[p.ID]) > 0)
	})
}

// next does one possible action, or ends the step.
func (w *walk) next() bool {
	canClose := len(w.open) > 0 && w.now.falls(w.start) < 10
	if canClose && rapid.IntRange(0, 1).Draw(w.t, "close") == 0 {
		w.close()
		return true
	}
	var possible []string
	for _, a := range w.candidates() {
		if w.possible(a) {
			possible = append(possible, a)
		}
	}
	if len(possible) == 0 {
		if canClose {
			w.close()
			return true
		}
		return false
	}
	w.take(rapid.SampledFrom(possible).Draw(w.t, "action"))
	return true
}

// possible reports whether the action is without fault, as it stands in the open step.
func (w *walk) possible(action string) bool {
	if w.start == nil {
		w.begin()
	}
	a := statetest.Actions(text.Span{}, action)[0]
	if a.Verb == procedure.Lift && w.now.falls(w.start) >= 10 {
		return false // the step cannot end before the lift
	}
	then := w.now.copy()
	if len(then.do(a)) > 0 {
		return false
	}
	return !letsGo(a) || then.falls(w.now) <= byHand(w.people)
}

func (w *walk) begin() {
	w.start = w.now.copy()
	w.people = rapid.IntRange(1, 2).Draw(w.t, "people")
}

// take does the action. A lift gets a step of its own behind a hold point.
func (w *walk) take(action string) {
	if w.start == nil {
		w.begin()
	}
	lift := strings.HasPrefix(action, "lift ")
	if lift {
		w.close()
		w.lines[len(w.lines)-1] += "; hold"
		w.begin()
	}
	w.now.do(statetest.Actions(text.Span{}, action)[0])
	w.open = append(w.open, action)
	if lift {
		w.close()
	}
}

// close ends the open step.
func (w *walk) close() {
	if len(w.open) > 0 {
		w.lines = append(w.lines, fmt.Sprintf("s%d people=%d: %s", len(w.lines)+1, w.people, strings.Join(w.open, "; ")))
	}
	w.open, w.start = nil, nil
}

// candidates lists what could be tried: with a load in the air, only to set it down.
func (w *walk) candidates() []string {
	var out []string
	for _, p := range w.m.Parts {
		if w.now.place[p.ID] == "air" && !w.now.aboard[p.ID] {
			return []string{"set down " + p.ID + " on pallet"}
		}
	}
	n := w.now
	for _, f := range w.m.Fasteners {
		if n.fastener[f.ID] == "tight" && f.Kind == procedure.TabWasher {
			out = append(out, "loosen "+f.ID)
		} else if n.fastener[f.ID] != "out" {
			out = append(out, "remove "+f.ID)
		}
	}
	for _, c := range w.m.Connections {
		if !n.apart[c.ID] {
			out = append(out, "disconnect "+c.ID)
		}
	}
	if !n.drained["oil"] {
		out = append(out, "drain oil into crate")
	}
	if n.condition["slack"] == "" {
		out = append(out, "establish slack")
	}
	for _, p := range w.m.Parts {
		on := strings.Join(n.on[p.ID], ", ")
		switch {
		case p.Base:
		case n.place[p.ID] == "in" && on == "" && p.Mass.Float("kg") > 5:
			gear := rapid.SampledFrom([]string{"hoist", "hoist, sling", "jack"}).Draw(w.t, "gear")
			out = append(out, "support "+p.ID+" with "+gear)
			out = append(out, "remove "+p.ID)
		case n.place[p.ID] == "in" && on == "":
			out = append(out, "remove "+p.ID)
		case n.place[p.ID] == "in":
			if set, _ := n.together(p.ID); !slices.ContainsFunc(set, func(q string) bool { return q != p.ID && len(n.on[q]) > 0 }) {
				out = append(out, "lift "+p.ID+" with "+on)
			}
		case on != "" && n.aboard[p.ID]:
			out = append(out, "lift "+p.ID+" with "+on)
		case on != "":
			out = append(out, "release "+p.ID+" from "+on)
		case n.aboard[p.ID] && p.Mass.Float("kg") > 20:
			out = append(out, "support "+p.ID+" with hoist")
		case n.aboard[p.ID]:
			out = append(out, "remove "+p.ID)
		}
	}
	return out
}
