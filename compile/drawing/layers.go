// Package drawing lays out the drawing of which step comes before which. It gives
// places and sizes; the pages write the marks.
package drawing

// Arrow says that one node stands before another.
type Arrow struct{ From, To int }

// Layers is a drawing of nodes in rows, each below all that must come before it.
// Its units are CSS pixels at full size.
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

// Box is one node: its top left corner and size.
type Box struct {
	Node                int
	X, Y, Width, Height float64
}

// Piece is what arrows draw in a row: straight down past the boxes, or from there
// down to the next row. Arrows from one box, or to one box, share their pieces.
type Piece struct {
	From, To Point
	// Arrows are the indexes of the arrows that run over it.
	Arrows []int
	// Ends is true where the piece meets the upper edge of a box.
	Ends bool
}

// Point is a place in the drawing.
type Point struct{ X, Y float64 }

// Sizes in the drawing.
const (
	boxWidth   = 200.0
	boxHeight  = 68.0
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
	return l.draw(arrows)
}

// layout is the drawing while it is worked out.
type layout struct {
	items  []item
	rows   [][]int // items by row, left to right
	row    []int   // row of each node
	chains [][]int // items that each arrow runs over, its two boxes included
	width  float64 // of the widest row
}

// item is a box, or a lane in which arrows pass a row.
type item struct {
	node  int // -1 for a lane
	row   int
	x     float64 // of its middle, from the middle of the drawing
	above []int   // items of the row before that it hangs on
	below []int
}

func (it item) width() float64 {
	if it.node < 0 {
		return laneWidth
	}
	return boxWidth
}

// place gives each node the row below all that come before it, or the next one
// when a row is full.
func (l *layout) place(n int, arrows []Arrow) {
	l.row = make([]int, n)
	var filled []int
	into := make([][]int, n)
	for _, a := range arrows {
		into[a.To] = append(into[a.To], a.From)
	}
	for node := range n {
		row := 0
		for _, from := range into[node] {
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
	l.rows = make([][]int, len(filled))
	for node := range n {
		l.items = append(l.items, item{node: node, row: l.row[node]})
		l.rows[l.row[node]] = append(l.rows[l.row[node]], node)
	}
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
	lanes := map[place]int{}
	type link struct{ above, below int }
	linked := map[link]bool{}
	bundles := l.bundles(arrows)
	l.chains = make([][]int, len(arrows))
	for i, a := range arrows {
		chain := []int{a.From}
		for row := l.row[a.From] + 1; row < l.row[a.To]; row++ {
			at := place{bundles[i], row}
			lane, ok := lanes[at]
			if !ok {
				lane = len(l.items)
				lanes[at] = lane
				l.items = append(l.items, item{node: -1, row: row})
				l.rows[row] = append(l.rows[row], lane)
			}
			chain = append(chain, lane)
		}
		chain = append(chain, a.To)
		for j := 1; j < len(chain); j++ {
			if k := (link{chain[j-1], chain[j]}); !linked[k] {
				linked[k] = true
				l.items[k.above].below = append(l.items[k.above].below, k.below)
				l.items[k.below].above = append(l.items[k.below].above, k.above)
			}
		}
		l.chains[i] = chain
	}
}
