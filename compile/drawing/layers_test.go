package drawing

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

func TestLayeredSmall(t *testing.T) {
	// Two ways from 0 to 3, and a direct arrow that passes the row between.
	got := Layered(4, []Arrow{{0, 1}, {0, 2}, {1, 3}, {2, 3}, {0, 3}})
	row := map[int]float64{}
	for _, b := range got.Boxes {
		row[b.Node] = b.Y
	}
	if !(row[0] < row[1] && row[1] == row[2] && row[2] < row[3]) {
		t.Errorf("rows %v", row)
	}
	for _, l := range got.Lines {
		want := 2
		if l.From == 0 && l.To == 3 {
			want = 4
		}
		if len(l.Points) != want {
			t.Errorf("the line %v has %d points, want %d", l.Arrow, len(l.Points), want)
		}
	}
}

// Whatever the graph: each box below all that come before it, inside the drawing,
// no two boxes on one place, every line from its box to its box, and no line
// through a box in a row that it passes.
func TestLayeredAlways(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 24).Draw(t, "n")
		var arrows []Arrow
		for from := range n {
			for to := from + 1; to < n; to++ {
				if rapid.IntRange(0, 5).Draw(t, "arrow") == 0 {
					arrows = append(arrows, Arrow{from, to})
				}
			}
		}
		got := Layered(n, arrows)
		if len(got.Boxes) != n || len(got.Lines) != len(arrows) {
			t.Fatalf("%d boxes and %d lines", len(got.Boxes), len(got.Lines))
		}
		at := make([]Box, n)
		for _, b := range got.Boxes {
			at[b.Node] = b
			if b.X < 0 || b.Y < 0 || b.X+b.Width > got.Width || b.Y+b.Height > got.Height {
				t.Fatalf("box %+v outside %v x %v", b, got.Width, got.Height)
			}
		}
		for i, a := range at {
			for _, b := range at[i+1:] {
				if a.Y == b.Y && a.X < b.X+b.Width && b.X < a.X+a.Width {
					t.Fatalf("boxes %d and %d overlap", a.Node, b.Node)
				}
			}
		}
		for _, l := range got.Lines {
			from, to := at[l.From], at[l.To]
			if from.Y >= to.Y {
				t.Fatalf("%v does not go down", l.Arrow)
			}
			first, last := l.Points[0], l.Points[len(l.Points)-1]
			if first.Y != from.Y+from.Height || last.Y != to.Y || first.X != from.X+from.Width/2 || last.X != to.X+to.Width/2 {
				t.Fatalf("%v does not join its boxes: %v", l.Arrow, l.Points)
			}
			for _, p := range l.Points[1 : len(l.Points)-1] {
				for _, b := range at {
					if p.Y == b.Y && p.X > b.X && p.X < b.X+b.Width {
						t.Fatalf("%v runs through box %d", l.Arrow, b.Node)
					}
				}
			}
		}
		if !reflect.DeepEqual(got, Layered(n, arrows)) {
			t.Fatal("the same graph gives another drawing")
		}
	})
}
