// Package drawing lays out the drawing of which step comes before which. It gives
// places and sizes; the pages write the marks.
package drawing

import (
	"cmp"
	"slices"
)

// Arrow says that one node stands before another. A heavy one is drawn so.
type Arrow struct {
	From, To int
	Heavy    bool
}

// Layers is a drawing of nodes in rows, each below all that must come before it.
// Its units are CSS pixels at full size, and whole ones.
type Layers struct {
	Width, Height float64
	Rows          []Row
}

// Row is a band across the whole drawing: a row of boxes, and below them the room
// for the lines to the next row. Bands lie close under each other, and nothing
// crosses from one to the next but lines, so a page may break between them.
type Row struct {
	Top, Height float64
	Boxes       []Box
	Pieces      []Piece
}

// Box is one node, and where its top left corner is. All boxes have one size.
type Box struct {
	Node int
	X, Y float64
}

// Piece is what arrows draw in a row: straight down past the boxes, or from there
// down to the next row. Arrows from one box, or to one box, share their pieces.
type Piece struct {
	From, To Point
	// Heavy is true where a heavy arrow runs over it.
	Heavy bool
	// Ends is true where the piece meets the upper edge of a box.
	Ends bool
}

// Point is a place in the drawing.
type Point struct{ X, Y float64 }

// The size of every box.
const (
	BoxWidth  = 200.0
	BoxHeight = 68.0
)

// Sizes in the drawing.
const (
	laneWidth  = 8.0
	gapAcross  = 14.0
	gapDown    = 32.0
	margin     = 6.0
	mostAcross = 3 // boxes in one row; more would be too small on a tablet held upright
)

// Layered lays out n nodes and their arrows. Arrows go from lower to higher
// nodes, and none stands twice.
//
// Source: layered drawing with barycentre ordering, Sugiyama, Tagawa and Toda, 1981 (from memory).
func Layered(n int, arrows []Arrow) Layers {
	l := layout{}
	l.place(n, arrows)
	l.thread(arrows)
	l.order()
	return l.draw()
}

// layout is the drawing while it is worked out.
type layout struct {
	items []item
	rows  [][]int // items by row, left to right
	row   []int   // row of each node
	links []link  // in order of their upper items
	below lists   // of each item, the items of the next row that hang on it
	above lists   // of each item, those of the row before that it hangs on
	width float64 // of the widest row
}

// item is a box, or a lane in which arrows pass a row.
type item struct {
	node  int // -1 for a lane
	row   int
	x     float64 // of its middle, from the middle of the drawing
	heavy bool    // a lane that a heavy arrow passes
}

// link says that arrows run from one item to one in the next row.
type link struct {
	above, below int
	heavy        bool
}

func (it item) width() float64 {
	if it.node < 0 {
		return laneWidth
	}
	return BoxWidth
}

// place gives each node the row below all that come before it, or the next one
// when a row is full.
func (l *layout) place(n int, arrows []Arrow) {
	l.row = make([]int, n)
	var filled []int
	into := listed(n, len(arrows), func(i int) (of, value int) { return arrows[i].To, arrows[i].From })
	for node := range n {
		row := 0
		for _, from := range into.of(node) {
			row = max(row, l.row[from]+1)
		}
		for row < len(filled) && filled[row] >= mostAcross {
			row++
		}
		if row == len(filled) {
			filled = append(filled, 0)
		}
		filled[row]++
		l.row[node] = row
	}
	const usual = 8 // items in a row, room for which is made at once
	room := make([]int, usual*len(filled))
	l.rows = make([][]int, len(filled))
	for row := range l.rows {
		l.rows[row] = room[usual*row : usual*row : usual*(row+1)]
	}
	l.items = make([]item, 0, 2*n)
	for node := range n {
		l.add(item{node: node, row: l.row[node]})
	}
}

// add puts an item at the right end of its row.
func (l *layout) add(it item) int {
	l.items = append(l.items, it)
	at := len(l.items) - 1
	l.rows[it.row] = append(l.rows[it.row], at)
	return at
}

// bundle is the box that arrows come from or go to and whose lanes they share.
type bundle struct {
	node int
	to   bool
}

// bundles says which lanes each arrow takes. An arrow shares lanes with those
// from its own first box or with those to its own last, whichever are more: so a
// line can be followed without a doubt, since it branches or gathers but never both.
func (l *layout) bundles(arrows []Arrow) []bundle {
	from, to := make([]int, len(l.row)), make([]int, len(l.row))
	for _, a := range arrows {
		if l.row[a.To]-l.row[a.From] > 1 {
			from[a.From]++
			to[a.To]++
		}
	}
	out := make([]bundle, len(arrows))
	for i, a := range arrows {
		out[i] = bundle{a.From, false}
		if to[a.To] >= from[a.From] {
			out[i] = bundle{a.To, true}
		}
	}
	return out
}

// thread gives each bundle of arrows a lane in every row that it passes.
func (l *layout) thread(arrows []Arrow) {
	type place struct {
		bundle
		row int
	}
	lanes := make(map[place]int, len(arrows))
	bundles := l.bundles(arrows)
	l.links = make([]link, 0, 2*len(arrows))
	for i, a := range arrows {
		last := a.From
		for row := l.row[a.From] + 1; row < l.row[a.To]; row++ {
			at := place{bundles[i], row}
			lane, ok := lanes[at]
			if !ok {
				lane = l.add(item{node: -1, row: row})
				lanes[at] = lane
			}
			l.items[lane].heavy = l.items[lane].heavy || a.Heavy
			l.links = append(l.links, link{last, lane, a.Heavy})
			last = lane
		}
		l.links = append(l.links, link{last, a.To, a.Heavy})
	}
	l.shareLinks()
	l.below = listed(len(l.items), len(l.links), func(i int) (of, value int) { return l.links[i].above, l.links[i].below })
	l.above = listed(len(l.items), len(l.links), func(i int) (of, value int) { return l.links[i].below, l.links[i].above })
}

// shareLinks keeps of links between the same items one, the heavy one if there is one.
func (l *layout) shareLinks() {
	slices.SortFunc(l.links, func(a, b link) int {
		return cmp.Or(cmp.Compare(a.above, b.above), cmp.Compare(a.below, b.below))
	})
	kept := l.links[:0]
	for _, k := range l.links {
		if n := len(kept); n > 0 && kept[n-1].above == k.above && kept[n-1].below == k.below {
			kept[n-1].heavy = kept[n-1].heavy || k.heavy
		} else {
			kept = append(kept, k)
		}
	}
	l.links = kept
}
