package balloon

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"matchmark/procedure"
)

func free(id string, targets ...float64) procedure.Balloon {
	b := procedure.Balloon{Ref: procedure.Ref{ID: id}, Free: true}
	for i := 0; i < len(targets); i += 2 {
		b.Targets = append(b.Targets, procedure.Point{X: targets[i], Y: targets[i+1]})
	}
	return b
}

func crossings(all []procedure.Balloon) (n int) {
	for i := range all {
		for j := range i {
			n += between(&all[i], &all[j])
		}
	}
	return n
}

func TestCross(t *testing.T) {
	p := func(x, y float64) procedure.Point { return procedure.Point{X: x, Y: y} }
	for name, c := range map[string]struct {
		a, b, c, d procedure.Point
		want       bool
	}{
		"a cross":          {p(0, 0), p(10, 10), p(0, 10), p(10, 0), true},
		"side by side":     {p(0, 0), p(10, 0), p(0, 5), p(10, 5), false},
		"one ends before":  {p(0, 0), p(4, 4), p(0, 10), p(10, 0), false},
		"they touch":       {p(0, 0), p(10, 10), p(5, 5), p(10, 0), false},
		"one on the other": {p(0, 0), p(10, 0), p(5, 0), p(15, 0), false},
		"the same end":     {p(0, 0), p(10, 10), p(20, 0), p(10, 10), false},
	} {
		if got := Cross(c.a, c.b, c.c, c.d); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// What the author places stays; the others lie in the picture, apart from each other and from what is pointed at.
func TestPlace(t *testing.T) {
	given := []procedure.Balloon{
		{Ref: procedure.Ref{ID: "1"}, Targets: []procedure.Point{{X: 400, Y: 300}}, Label: procedure.Point{X: 100, Y: 60}},
		free("2", 380, 300), free("3", 420, 300, 500, 300), free("4", 10, 10), free("5", 790, 590), free("6", 400, 330),
		{Ref: procedure.Ref{ID: "7"}, Free: true, Beside: 1},
	}
	all := Place(given, 800, 600)
	if all[0].Label != given[0].Label || given[1].Label != (procedure.Point{}) {
		t.Errorf("the author's balloon is at %v, the given list has %v", all[0].Label, given[1].Label)
	}
	if n := crossings(all); n > 0 {
		t.Errorf("%d crossings", n)
	}
	unit := Unit(800, 600)
	for i, a := range all {
		at := Beside(a.Label, a.Beside, 800, 600)
		if at.X < Radius*unit || at.Y < Radius*unit || at.X > 800-Radius*unit || at.Y > 600-Radius*unit {
			t.Errorf("%s is at %v", a.Ref.ID, at)
		}
		for _, b := range all[:i] {
			other := Beside(b.Label, b.Beside, 800, 600)
			if math.Hypot(at.X-other.X, at.Y-other.Y) < 1.9*Radius*unit {
				t.Errorf("%s and %s lie on each other", a.Ref.ID, b.Ref.ID)
			}
		}
	}
	if again := Place(given, 800, 600); fmt.Sprint(again) != fmt.Sprint(all) {
		t.Error("another time they lie elsewhere")
	}
	if fmt.Sprint(Place(given[:1], 800, 600)) != fmt.Sprint(given[:1]) {
		t.Error("a figure without free balloons is changed")
	}
}

// Places for a dozen points that lie apart as bolts do: hardly any leaders cross, however they lie.
func TestFewCross(t *testing.T) {
	total := 0
	rapid.Check(t, func(t *rapid.T) {
		var all []procedure.Balloon
		for i := range 12 {
			x := 60 + 180*float64(i%4) + rapid.Float64Range(0, 100).Draw(t, "x")
			y := 60 + 180*float64(i/4) + rapid.Float64Range(0, 100).Draw(t, "y")
			all = append(all, free(fmt.Sprint(i), x, y))
		}
		n := crossings(Place(all, 800, 600))
		if n > 1 {
			t.Fatalf("%d crossings", n)
		}
		total += n
	})
	if total > 2 {
		t.Errorf("%d crossings over all figures", total)
	}
}

func TestCrossings(t *testing.T) {
	placed := func(id string, x, y, toX, toY float64) procedure.Balloon {
		b := free(id, toX, toY)
		b.Free, b.Label = false, procedure.Point{X: x, Y: y}
		return b
	}
	f := &procedure.Figure{Balloons: []procedure.Balloon{
		placed("1", 0, 0, 100, 100), placed("2", 100, 0, 0, 100), placed("3", 300, 0, 300, 100),
	}}
	got := Crossings(f)
	if len(got) != 1 || got[0].A.Ref.ID != "1" || got[0].B.Ref.ID != "2" || f.Balloons[0].Label != (procedure.Point{}) {
		t.Errorf("%v", got)
	}
	// Changing places would make two crossings of one.
	f.Balloons = append(f.Balloons[:2], placed("3", -50, 20, 10, 20), placed("4", 150, 20, 90, 20))
	if got := Crossings(f); len(got) != 0 {
		t.Errorf("%v", got)
	}
}

// A balloon in a row moves the point of the whole row; only the first has ends to move.
func TestRowsMove(t *testing.T) {
	src := strings.Replace(machine, "- 4 at", "- 11-12, 14 at", 1)
	src = strings.Replace(src, "\n- 4 at", "\n- 11-12, 14 at", 1)
	for _, thing := range []string{"11", "12", "14"} {
		edit, err := (Move{thing, 0, 0, "60,40", "61,41"}).Edit(feet(t, src))
		if err != nil || edit.Span.Text() != "60,40" {
			t.Errorf("%s: %v, %v", thing, edit, err)
		}
		_, err = (Move{thing, 0, 1, "120,80", "121,81"}).Edit(feet(t, src))
		if (err == nil) != (thing == "11") {
			t.Errorf("the end of %s: %v", thing, err)
		}
	}
}
