package drawing

import (
	"cmp"
	"math"
	"slices"
)

// sweeps is how often the rows are put in order, down and up in turn.
const sweeps = 9

// order sorts each row by where its neighbours stand, and moves its items under
// or over them as far as the others leave room.
func (l *layout) order() {
	l.width = BoxWidth
	most := 0
	for row := range l.rows {
		l.width = max(l.width, l.least(row))
		l.spread(row)
		most = max(most, len(l.rows[row]))
	}
	wished := make([]float64, len(l.items))
	s := settler{packed: make([]float64, 0, most), blocks: make([]block, 0, most)}
	for sweep := range sweeps {
		for i := range l.rows {
			row, neighbours := i, l.above
			if sweep%2 == 1 {
				row, neighbours = len(l.rows)-1-i, l.below
			}
			l.wish(wished, row, neighbours)
			slices.SortStableFunc(l.rows[row], func(a, b int) int { return cmp.Compare(wished[a], wished[b]) })
			s.settle(l, row, wished)
		}
	}
}

// wish notes, for each item of a row, the middle between its neighbours in the row above or below.
func (l *layout) wish(wished []float64, row int, neighbours lists) {
	for _, it := range l.rows[row] {
		wished[it] = l.items[it].x
		if next := neighbours.of(it); len(next) > 0 {
			sum := 0.0
			for _, o := range next {
				sum += l.items[o].x
			}
			wished[it] = sum / float64(len(next))
		}
	}
}

// spread sets the row's items side by side around the middle of the drawing.
func (l *layout) spread(row int) {
	x := -l.least(row) / 2
	for _, it := range l.rows[row] {
		w := l.items[it].width()
		l.items[it].x = x + w/2
		x += w + gapAcross
	}
}

// least is the width of a row without spare room.
func (l *layout) least(row int) float64 {
	w := -gapAcross
	for _, it := range l.rows[row] {
		w += l.items[it].width() + gapAcross
	}
	return w
}

// settler moves the items of a row; its room is used again for the next one.
type settler struct {
	packed []float64 // where each item stands in a row packed to the left
	blocks []block
}

// block is items side by side that move as one.
type block struct {
	shift float64
	items int
}

// settle moves the items of a row as close to the wished places as their order,
// their widths and the width of the drawing allow.
//
// With each item's place measured from where it would stand in a row packed to the
// left, the places must not fall from left to right: the closest such places are
// the isotonic regression of the wished ones.
//
// Source: pool adjacent violators, Ayer and others, 1955 (from memory).
func (s *settler) settle(l *layout, row int, wished []float64) {
	packed, blocks := s.packed[:0], s.blocks[:0]
	at := -l.width / 2
	for _, it := range l.rows[row] {
		w := l.items[it].width()
		left := at + w/2
		packed = append(packed, left)
		at += w + gapAcross
		blocks = append(blocks, block{wished[it] - left, 1})
		for n := len(blocks); n > 1 && blocks[n-2].shift > blocks[n-1].shift; n-- {
			a, b := blocks[n-2], blocks[n-1]
			sum := float64(a.shift*float64(a.items)) + float64(b.shift*float64(b.items))
			blocks = append(blocks[:n-2], block{sum / float64(a.items+b.items), a.items + b.items})
		}
	}
	spare := l.width - l.least(row)
	i := 0
	for _, b := range blocks {
		for range b.items {
			l.items[l.rows[row][i]].x = packed[i] + min(max(b.shift, 0), spare)
			i++
		}
	}
}

func (l *layout) draw() Layers {
	const pitch = BoxHeight + gapDown
	middle := l.width/2 + margin
	out := Layers{Width: l.width + 2*margin, Rows: make([]Row, len(l.rows))}
	for i := range l.items {
		l.items[i].x = math.Round(l.items[i].x + middle)
	}
	boxes := make([]Box, 0, len(l.row))
	pieces := make([]Piece, 0, len(l.links)+len(l.items)-len(l.row))
	for row := range l.rows {
		y := margin + float64(row)*pitch
		r := Row{Top: y, Height: pitch}
		if row == 0 {
			r.Top, r.Height = 0, margin+pitch
		}
		if row == len(l.rows)-1 {
			r.Height += margin - gapDown
		}
		b, p := len(boxes), len(pieces)
		for _, it := range l.rows[row] {
			at := l.items[it]
			if at.node >= 0 {
				boxes = append(boxes, Box{Node: at.node, X: at.x - BoxWidth/2, Y: y})
			} else {
				pieces = append(pieces, Piece{From: Point{at.x, y}, To: Point{at.x, y + BoxHeight}, Heavy: at.heavy})
			}
			for _, k := range l.linksFrom(it) {
				next := l.items[k.below]
				pieces = append(pieces, Piece{From: Point{at.x, y + BoxHeight}, To: Point{next.x, y + pitch}, Heavy: k.heavy, Ends: next.node >= 0})
			}
		}
		r.Boxes, r.Pieces = boxes[b:len(boxes):len(boxes)], pieces[p:len(pieces):len(pieces)]
		out.Height = r.Top + r.Height
		out.Rows[row] = r
	}
	return out
}

// linksFrom are the links down from an item; they lie side by side, as its list of items below does.
func (l *layout) linksFrom(item int) []link {
	end := l.below.ends[item]
	return l.links[end-len(l.below.of(item)) : end]
}
