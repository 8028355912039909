// Package drawing lays out drawings that pages show as SVG. It gives places and
// sizes; templates write the marks.
package drawing

import (
	"cmp"
	"slices"
)

// Arrow says that one node stands before another.
type Arrow struct{ From, To int }

// Sizes of the precedence drawing, in its own units, which are CSS pixels at full size.
const (
	boxWidth   = 212.0
	boxHeight  = 64.0
	laneWidth  = 18.0
	gapAcross  = 16.0
	gapDown    = 34.0
	margin     = 8.0
	sweeps     = 8
	mostAcross = 3 // boxes in one row; more would be too small on a tablet held upright
)

// Layers is a drawing of nodes in rows, each below all that must come before it.
type Layers struct {
	Width, Height float64
	Boxes         []Box
	Lines         []Line
}

// Box is one node: its top left corner and size.
type Box struct {
	Node                int
	X, Y, Width, Height float64
}

// Line is one arrow as points from the lower edge of a box to the upper edge of another.
type Line struct {
	Arrow
	Points []Point
}

// Point is a place in the drawing.
type Point struct{ X, Y float64 }

// item is a box, or a lane that an arrow passes a row in.
type item struct {
	node  int // -1 for a lane
	row   int
	x     float64
	above []int // items of the row before that it hangs on
	below []int
}

// Layered lays out n nodes and their arrows. Arrows go from lower to higher
// nodes, and none stands twice.
//
// Source: layered drawing with barycentre ordering, Sugiyama, Tagawa and Toda, 1981 (from memory).
func Layered(n int, arrows []Arrow) Layers {
	l := layout{}
	l.place(n, arrows)
	l.thread(n, arrows)
	l.order()
	return l.draw(arrows)
}

type layout struct {
	items []item
	rows  [][]int // items by row, left to right
	row   []int   // row of each node
	lanes [][]int // items that each arrow passes, its two boxes included
}

// place gives each node the row below all that come before it, or the next one
// when a row is full.
func (l *layout) place(n int, arrows []Arrow) {
	l.row = make([]int, n)
	var filled []int
	for node := range n {
		row := 0
		for _, a := range arrows {
			if a.To == node {
				row = max(row, l.row[a.From]+1)
			}
		}
		for row < len(filled) && filled[row] >= mostAcross {
			row++
		}
		for row >= len(filled) {
			filled = append(filled, 0)
		}
		filled[row]++
		l.row[node] = row
	}
	l.rows = make([][]int, len(filled))
	for node := range n {
		l.items = append(l.items, item{node: node, row: l.row[node]})
		l.rows[l.row[node]] = append(l.rows[l.row[node]], node)
	}
}

// thread gives each arrow a lane in every row that it passes.
func (l *layout) thread(n int, arrows []Arrow) {
	l.lanes = make([][]int, len(arrows))
	for i, a := range arrows {
		chain := []int{a.From}
		for row := l.row[a.From] + 1; row < l.row[a.To]; row++ {
			chain = append(chain, len(l.items))
			l.rows[row] = append(l.rows[row], len(l.items))
			l.items = append(l.items, item{node: -1, row: row})
		}
		chain = append(chain, a.To)
		for j := 1; j < len(chain); j++ {
			l.items[chain[j-1]].below = append(l.items[chain[j-1]].below, chain[j])
			l.items[chain[j]].above = append(l.items[chain[j]].above, chain[j-1])
		}
		l.lanes[i] = chain
	}
}

// order sorts each row by where its neighbours stand, down and up in turn.
func (l *layout) order() {
	for row := range l.rows {
		l.spread(row)
	}
	for sweep := range sweeps {
		down := sweep%2 == 0
		for i := range l.rows {
			row := i
			if !down {
				row = len(l.rows) - 1 - i
			}
			centre := map[int]float64{}
			for _, it := range l.rows[row] {
				next := l.items[it].above
				if !down {
					next = l.items[it].below
				}
				centre[it] = l.items[it].x
				if len(next) > 0 {
					sum := 0.0
					for _, o := range next {
						sum += l.items[o].x
					}
					centre[it] = sum / float64(len(next))
				}
			}
			slices.SortStableFunc(l.rows[row], func(a, b int) int { return cmp.Compare(centre[a], centre[b]) })
			l.spread(row)
		}
	}
}

// spread sets the row's items side by side around the middle of the drawing.
func (l *layout) spread(row int) {
	x := -l.width(row) / 2
	for _, it := range l.rows[row] {
		w := l.itemWidth(it)
		l.items[it].x = x + w/2
		x += w + gapAcross
	}
}

func (l *layout) itemWidth(it int) float64 {
	if l.items[it].node < 0 {
		return laneWidth
	}
	return boxWidth
}

func (l *layout) width(row int) float64 {
	w := -gapAcross
	for _, it := range l.rows[row] {
		w += l.itemWidth(it) + gapAcross
	}
	return w
}

func (l *layout) draw(arrows []Arrow) Layers {
	widest := boxWidth
	for row := range l.rows {
		widest = max(widest, l.width(row))
	}
	middle := widest/2 + margin
	top := func(row int) float64 { return margin + float64(row)*(boxHeight+gapDown) }
	out := Layers{Width: widest + 2*margin, Height: top(len(l.rows)) - gapDown + margin}
	for _, it := range l.items {
		if it.node >= 0 {
			out.Boxes = append(out.Boxes, Box{Node: it.node, X: it.x + middle - boxWidth/2, Y: top(it.row), Width: boxWidth, Height: boxHeight})
		}
	}
	for i, a := range arrows {
		line := Line{Arrow: a}
		for j, it := range l.lanes[i] {
			x, y := l.items[it].x+middle, top(l.items[it].row)
			if j > 0 {
				line.Points = append(line.Points, Point{x, y})
			}
			if j < len(l.lanes[i])-1 {
				line.Points = append(line.Points, Point{x, y + boxHeight})
			}
		}
		out.Lines = append(out.Lines, line)
	}
	return out
}
