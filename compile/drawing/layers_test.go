package drawing

import (
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestLayeredSmall(t *testing.T) {
	// Two ways from 0 to 3, and a direct arrow that passes the row between.
	got := Layered(4, []Arrow{{From: 0, To: 1}, {From: 0, To: 2}, {From: 1, To: 3}, {From: 2, To: 3}, {From: 0, To: 3}})
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
		arrows = append(arrows, Arrow{From: node, To: 9})
	}
	got := Layered(10, arrows)
	if most := 3*BoxWidth + 3*gapAcross + laneWidth + 2*margin; got.Width != most {
		t.Errorf("the drawing is %v wide, want three boxes and a lane, %v", got.Width, most)
	}
}

func graph(t *rapid.T) (n int, arrows []Arrow) {
	n = rapid.IntRange(1, 24).Draw(t, "n")
	for from := range n {
		for to := from + 1; to < n; to++ {
			if rapid.IntRange(0, 5).Draw(t, "arrow") == 0 {
				arrows = append(arrows, Arrow{from, to, rapid.IntRange(0, 3).Draw(t, "heavy") == 0})
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
				if b.X < 0 || b.Y < r.Top || b.X+BoxWidth > got.Width || b.Y+BoxHeight > y {
					t.Fatalf("box %+v outside its band %v to %v, %v wide", b, r.Top, y, got.Width)
				}
				for _, c := range r.Boxes[i+1:] {
					if b.X < c.X+BoxWidth && c.X < b.X+BoxWidth {
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

// Whatever the graph: the lines lead from each box to those that its arrows lead to
// and to no other, through no box, and heavy lines all the way of a heavy arrow
// and nowhere else: what is drawn says nothing that is not so.
func TestLinesAlways(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, arrows := graph(t)
		got := Layered(n, arrows)
		below, above := map[Point]int{}, map[Point]int{} // the boxes by where lines leave and meet them
		for _, r := range got.Rows {
			for _, b := range r.Boxes {
				below[Point{b.X + BoxWidth/2, b.Y + BoxHeight}] = b.Node
				above[Point{b.X + BoxWidth/2, b.Y}] = b.Node
			}
		}
		next := map[Point][]Piece{}
		for _, r := range got.Rows {
			for _, p := range r.Pieces {
				next[p.From] = append(next[p.From], p)
				if _, meets := above[p.To]; meets != p.Ends {
					t.Fatalf("a line to %v: a box is there %v, it ends there %v", p.To, meets, p.Ends)
				}
				for _, b := range r.Boxes {
					if p.From.Y == b.Y && p.From.X > b.X && p.From.X < b.X+BoxWidth {
						t.Fatalf("a line runs through box %d", b.Node)
					}
				}
			}
		}
		want := map[Arrow]bool{}
		for _, a := range arrows {
			want[Arrow{a.From, a.To, false}] = true
			if a.Heavy {
				want[a] = true
			}
		}
		drawn := map[Arrow]bool{}
		heavy := map[Piece]bool{} // those on a heavy way from box to box
		var follow func(from int, p Point, way []Piece)
		follow = func(from int, p Point, way []Piece) {
			for _, q := range next[p] {
				on := append(slices.Clone(way), q)
				allHeavy := !slices.ContainsFunc(on, func(p Piece) bool { return !p.Heavy })
				if to, ends := above[q.To]; ends {
					drawn[Arrow{from, to, false}] = true
					if allHeavy {
						drawn[Arrow{from, to, true}] = true
						for _, p := range on {
							heavy[p] = true
						}
					}
				} else {
					follow(from, q.To, on)
				}
			}
		}
		for at, from := range below {
			follow(from, at, nil)
		}
		for a := range drawn {
			if !want[a] {
				t.Fatalf("the lines say %+v, which no arrow does", a)
			}
		}
		for a := range want {
			if !drawn[a] {
				t.Fatalf("%+v is not drawn all the way", a)
			}
		}
		for _, r := range got.Rows {
			for _, p := range r.Pieces {
				if p.Heavy && !heavy[p] {
					t.Fatalf("%+v is heavy, and no heavy arrow runs over it", p)
				}
			}
		}
	})
}
