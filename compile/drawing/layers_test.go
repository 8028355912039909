package drawing

import (
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestLayeredSmall(t *testing.T) {
	// Two ways from 0 to 3, and a direct arrow that passes the row between.
	got := Layered(4, []Arrow{{0, 1}, {0, 2}, {1, 3}, {2, 3}, {0, 3}})
	var rows [][]int
	for _, r := range got.Rows {
		var nodes []int
		for _, b := range r.Boxes {
			nodes = append(nodes, b.Node)
		}
		slices.Sort(nodes)
		rows = append(rows, nodes)
	}
	if want := [][]int{{0}, {1, 2}, {3}}; !reflect.DeepEqual(rows, want) {
		t.Errorf("rows %v, want %v", rows, want)
	}
	// Below row 0: to 1, to 2, and to the lane; in row 1: the lane, and from each box and the lane to 3.
	if a, b := len(got.Rows[0].Pieces), len(got.Rows[1].Pieces); a != 3 || b != 4 {
		t.Errorf("%d and %d pieces, want 3 and 4", a, b)
	}
}

// Many arrows to one box share one lane, so that a drawing stays narrow.
func TestArrowsToOneBoxShareALane(t *testing.T) {
	var arrows []Arrow
	for node := range 9 {
		arrows = append(arrows, Arrow{node, 9})
	}
	got := Layered(10, arrows)
	if most := 3*boxWidth + 3*gapAcross + laneWidth + 2*margin; got.Width != most {
		t.Errorf("the drawing is %v wide, want three boxes and a lane, %v", got.Width, most)
	}
}

func graph(t *rapid.T) (n int, arrows []Arrow) {
	n = rapid.IntRange(1, 24).Draw(t, "n")
	for from := range n {
		for to := from + 1; to < n; to++ {
			if rapid.IntRange(0, 5).Draw(t, "arrow") == 0 {
				arrows = append(arrows, Arrow{from, to})
			}
		}
	}
	return n, arrows
}

// Whatever the graph: each box once, below all that come before it, inside its
// band and the drawing, no two on one place; bands without a gap between.
func TestBoxesAlways(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, arrows := graph(t)
		got := Layered(n, arrows)
		at := map[int]Box{}
		y := 0.0
		for _, r := range got.Rows {
			if r.Top != y {
				t.Fatalf("a band begins at %v, the one before ends at %v", r.Top, y)
			}
			y += r.Height
			for i, b := range r.Boxes {
				if _, twice := at[b.Node]; twice {
					t.Fatalf("box %d stands twice", b.Node)
				}
				at[b.Node] = b
				if b.X < 0 || b.Y < r.Top || b.X+b.Width > got.Width || b.Y+b.Height > y {
					t.Fatalf("box %+v outside its band %v to %v, %v wide", b, r.Top, y, got.Width)
				}
				for _, c := range r.Boxes[i+1:] {
					if b.X < c.X+c.Width && c.X < b.X+b.Width {
						t.Fatalf("boxes %d and %d overlap", b.Node, c.Node)
					}
				}
			}
		}
		if len(at) != n || y != got.Height {
			t.Fatalf("%d boxes to a height of %v", len(at), y)
		}
		for _, a := range arrows {
			if at[a.From].Y >= at[a.To].Y {
				t.Fatalf("%v does not go down", a)
			}
		}
		if !reflect.DeepEqual(got, Layered(n, arrows)) {
			t.Fatal("the same graph gives another drawing")
		}
	})
}

// Whatever the graph: each arrow runs without a break from its box to its box,
// through no other, and from no piece does one come to a box that the arrow's own
// boxes are not before: what is drawn says nothing that is not so.
func TestLinesAlways(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, arrows := graph(t)
		got := Layered(n, arrows)
		at := map[int]Box{}
		for _, r := range got.Rows {
			for _, b := range r.Boxes {
				at[b.Node] = b
			}
		}
		next := map[Point][]Point{}
		paths := make([]Point, len(arrows))
		for i, a := range arrows {
			paths[i] = Point{round(at[a.From].X + boxWidth/2), at[a.From].Y + boxHeight}
		}
		for _, r := range got.Rows {
			for _, p := range r.Pieces {
				next[p.From] = append(next[p.From], p.To)
				for _, i := range p.Arrows {
					if paths[i] != p.From {
						t.Fatalf("%v breaks off at %v and goes on at %v", arrows[i], paths[i], p.From)
					}
					paths[i] = p.To
				}
				for _, b := range r.Boxes {
					if p.From.Y == b.Y && p.From.X > b.X && p.From.X < b.X+b.Width {
						t.Fatalf("a line runs through box %d", b.Node)
					}
				}
			}
		}
		wanted := map[Arrow]bool{}
		for i, a := range arrows {
			wanted[a] = true
			if want := (Point{round(at[a.To].X + boxWidth/2), at[a.To].Y}); paths[i] != want {
				t.Fatalf("%v ends at %v, its box is at %v", a, paths[i], want)
			}
		}
		for from, b := range at {
			var follow func(p Point)
			follow = func(p Point) {
				for to, c := range at {
					if p == (Point{round(c.X + boxWidth/2), c.Y}) && !wanted[Arrow{from, to}] {
						t.Fatalf("the lines lead from %d to %d, which no arrow does", from, to)
					}
				}
				for _, q := range next[p] {
					follow(q)
				}
			}
			follow(Point{round(b.X + boxWidth/2), b.Y + boxHeight})
		}
	})
}
