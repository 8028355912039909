package order

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"matchmark/procedure/state"
	"matchmark/procedure/state/statetest"
)

const machine = `
base frame
part hood 6 mark
part hub 6
part gearbox 64 under=hood
bolt 1 hood frame
bolt 4 gearbox frame
bolt 5 gearbox frame
bolt 6 gearbox frame
washer 7 hub gearbox locks=8
nut 8 hub gearbox
plug 9 gearbox
hose line gearbox frame carries=oil
belt belt gearbox frame needs=slack mark
fluid oil
hoist hoist 250
stand pallet 500
stand small 65
condition slack needs=dead undo
energy dead undo
`

func precedence(t *testing.T, steps string) *Precedence {
	t.Helper()
	return NewPrecedence(state.Run(statetest.Job(machine, steps)))
}

// edges writes edges as "a>b kind kind", by step names.
func edges(p *Precedence, all []Edge) string {
	var out []string
	for _, e := range all {
		s := p.Steps[e.From].ID + ">" + p.Steps[e.To].ID
		var kinds []string
		for _, r := range e.Reasons {
			kinds = append(kinds, string(r.Kind))
		}
		slices.Sort(kinds)
		s += " " + strings.Join(slices.Compact(kinds), " ")
		out = append(out, s)
	}
	return strings.Join(out, ", ")
}

func TestImplied(t *testing.T) {
	tests := []struct{ name, steps, want string }{
		{"what joins comes off first", "a: remove 1\nb: remove hood", "a>b joined"},
		{"fasteners in any order", "a: remove 4\nb: remove 5\nc: remove 6", ""},
		{"cover first", "a: remove hood\nb: remove gearbox", "a>b covered"},
		{"drain before opening", "a: drain oil\nb: disconnect line\nc: remove 9", "a>b emptied, a>c emptied"},
		{"mark before", "a: mark hood\nb: remove hood", "a>b marked"},
		{"condition before need", "a: establish slack\nb needs=slack: inspect 1\nc: disconnect belt", "a>b needed, a>c needed"},
		{"need before the end", "a: establish slack\nb: disconnect belt\nc: undo slack", "a>b needed, a>c same, b>c as-it-was"},
		{"energy proved before work", "a: establish dead\nb: verify dead\nc: remove 1\nd: mark hood", "a>b needed, a>c needed, b>c proved"},
		{"lock first", "a: loosen 7\nb: remove 8\nc: remove 7", "a>b locked, a>c same, b>c locked"},
		{"support before the last holder", "a: remove 4\nb: support gearbox with hoist\nc: remove 5\nd: remove 6", "b>d held"},
		{"support before all of a way", "a: remove 4, 5\nb: support gearbox with hoist\nc: remove 6", "b>c held"},
		{"fasteners before the release", "a: support gearbox with hoist; remove 4, 5, 6\nb: fit 6\nc: release gearbox from hoist\nd: fit 5", "a>b seated, a>c one-support, a>d same, b>c carried, c>d seated"},
		{"hold point", "a: remove 4\nb: inspect 5; hold\nc: remove 6", "a>b hold-point, b>c hold-point"},
		{"lift", "a: support gearbox with hoist; remove 4, 5, 6; disconnect line, belt; hold\nb: lift gearbox with hoist\nc: remove 1",
			"a>b hold-point joined one-support, b>c load-in-air"},
		{"kept until a step", "a: keep 4 until b\nb: remove 5\nc: remove 4", "a>c as-it-was, b>c kept"},
		{"kept until a condition", "a: keep 4 until slack\nb: establish slack\nc: remove 4", "a>c as-it-was, b>c kept"},
		{"caution before", "a: caution 4\nb: remove 4", "a>b warned"},
		{"looked at as it is", "a: remove hood\nb: inspect hood\nc: fit hood", "a>b looked, a>c same, b>c as-it-was"},
		{"read after what covers it is off", "a: remove hood\nb: read gearbox", "a>b looked"},
		{"read through what covers it", "a: read gearbox\nb: remove hood", ""},
		{"read before its fasteners are undone", "a: read gearbox\nb: loosen 4", "a>b as-it-was"},
		{"a belt is read before what it runs between is loose", "a: read belt\nb: loosen 4", "a>b as-it-was"},
		{"read while the machine runs", "a: read hub\nb: establish dead", "a>b as-it-was"},
		{"read once it stands", "a: establish dead\nb: read hub\nc: undo dead", "a>b looked, a>c same, b>c as-it-was"},
		{"one hoist", "a: support hood with hoist\nb: release hood from hoist\nc: support gearbox with hoist", "a>b one-support, b>c one-support"},
		{"a stand that bears all", "a: set down hood on pallet\nb: set down gearbox on pallet", "a>b covered load-in-air"},
		{"a stand that does not", "a: set down hood on small\nb: set down gearbox on small", "a>b covered load-in-air one-support"},
		{"part before its fasteners", "a: remove 1; remove hood\nb: fit hood\nc: fit 1", "a>b joined, a>c as-it-was same, b>c seated"},
		{"plug before filling", "a: remove 9; drain oil\nb: fit 9\nc: tighten 9\nd: fill oil", "a>b same, a>d same, b>c same, c>d closed"},
	}
	for _, test := range tests {
		p := precedence(t, test.steps)
		if got := edges(p, p.Edges()); got != test.want {
			t.Errorf("%s: edges are\n%s, want\n%s", test.name, got, test.want)
		}
	}
}

func TestStated(t *testing.T) {
	p := precedence(t, "a: remove 4\nb after=a: remove 5\nc after=b,d: remove 6\nd after=d: remove 1")
	if got := edges(p, p.Edges()); got != "a>b stated, b>c stated" {
		t.Errorf("edges are %s", got)
	}
	if len(p.Backward) != 2 || p.Backward[0].Step != 2 || p.Backward[0].After != 3 || p.Backward[1].Step != 3 || p.Backward[1].After != 3 {
		t.Errorf("backward statements are %v", p.Backward)
	}
	if got := fmt.Sprint(p.Swaps()); got != "[2]" {
		t.Errorf("steps %s could be swapped with the next, want [2]", got)
	}
}

func TestHabits(t *testing.T) {
	p := precedence(t, "a: remove 1\nb after=a: remove hood\nc after=b: remove 5\nd after=a: remove 6")
	if got := edges(p, p.Habits()); got != "a>d stated, b>c stated" {
		t.Errorf("only habit are %s", got)
	}
	// What a chain of implied edges asks for is not habit.
	p = precedence(t, "a: loosen 7\nb: remove 8\nc after=a: remove hub")
	if got := edges(p, p.Habits()); got != "" {
		t.Errorf("only habit are %s", got)
	}
}

func TestReasonsNameActions(t *testing.T) {
	p := precedence(t, "a: remove 1\nb: remove hood")
	all := p.Edges()
	if len(all) != 1 || len(all[0].Reasons) != 1 {
		t.Fatalf("edges are %v", all)
	}
	r := all[0].Reasons[0]
	if r.From.Span.Text() != "remove 1" || r.To.Span.Text() != "remove hood" || r.Thing.ID != "1" {
		t.Errorf("the reason leads from %q to %q over %s", r.From.Span.Text(), r.To.Span.Text(), r.Thing.ID)
	}
}
