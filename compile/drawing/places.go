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
	l.width = boxWidth
	for row := range l.rows {
		l.width = max(l.width, l.least(row))
		l.spread(row)
	}
	wished := make([]float64, len(l.items))
	for sweep := range sweeps {
		for i := range l.rows {
			row, neighbours := i, func(it *item) []int { return it.above }
			if sweep%2 == 1 {
				row, neighbours = len(l.rows)-1-i, func(it *item) []int { return it.below }
			}
			l.wish(wished, row, neighbours)
			slices.SortStableFunc(l.rows[row], func(a, b int) int { return cmp.Compare(wished[a], wished[b]) })
			l.settle(row, wished)
		}
	}
}

// wish notes, for each item of a row, the middle between its neighbours in the row above or below.
func (l *layout) wish(wished []float64, row int, neighbours func(*item) []int) {
	for _, it := range l.rows[row] {
		wished[it] = l.items[it].x
		if next := neighbours(&l.items[it]); len(next) > 0 {
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

// settle moves the items of a row as close to the wished places as their order,
// their widths and the width of the drawing allow.
//
// With each item's place measured from where it would stand in a row packed to the
// left, the places must not fall from left to right: the closest such places are
// the isotonic regression of the wished ones.
//
// Source: pool adjacent violators, Ayer and others, 1955 (from memory).
func (l *layout) settle(row int, wished []float64) {
	type block struct {
		shift float64
		items int
	}
	blocks := make([]block, 0, len(l.rows[row]))
	packed := make([]float64, len(l.rows[row]))
	at := -l.width / 2
	for i, it := range l.rows[row] {
		w := l.items[it].width()
		packed[i] = at + w/2
		at += w + gapAcross
		blocks = append(blocks, block{wished[it] - packed[i], 1})
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

func (l *layout) draw(arrows []Arrow) Layers {
	const pitch = boxHeight + gapDown
	middle := l.width/2 + margin
	out := Layers{Width: round(l.width + 2*margin)}
	for i := range l.items {
		l.items[i].x = round(l.items[i].x + middle)
	}
	for row := range l.rows {
		y := margin + float64(row)*pitch
		r := Row{Top: y, Height: pitch}
		if row == 0 {
			r.Top, r.Height = 0, margin+pitch
		}
		if row == len(l.rows)-1 {
			r.Height += margin - gapDown
		}
		for _, it := range l.rows[row] {
			if at := l.items[it]; at.node >= 0 {
				r.Boxes = append(r.Boxes, Box{Node: at.node, X: round(at.x - boxWidth/2), Y: y, Width: boxWidth, Height: boxHeight})
			}
		}
		out.Height = r.Top + r.Height
		out.Rows = append(out.Rows, r)
	}
	for i := range arrows {
		l.drawArrow(i, out.Rows)
	}
	return out
}

// drawArrow adds an arrow to the pieces that it runs over.
func (l *layout) drawArrow(i int, rows []Row) {
	add := func(row int, p Piece) {
		same := slices.IndexFunc(rows[row].Pieces, func(q Piece) bool { return p.From == q.From && p.To == q.To })
		if same < 0 {
			p.Arrows = []int{i}
			rows[row].Pieces = append(rows[row].Pieces, p)
		} else {
			rows[row].Pieces[same].Arrows = append(rows[row].Pieces[same].Arrows, i)
		}
	}
	for j, it := range l.chains[i] {
		at := l.items[it]
		end := rows[at.row].Top + rows[at.row].Height
		lower := end - gapDown
		if at.node < 0 {
			add(at.row, Piece{From: Point{at.x, lower - boxHeight}, To: Point{at.x, lower}})
		}
		if j+1 < len(l.chains[i]) {
			next := l.items[l.chains[i][j+1]]
			add(at.row, Piece{From: Point{at.x, lower}, To: Point{next.x, end}, Ends: next.node >= 0})
		}
	}
}

// round keeps a tenth of a unit, so that pages do not depend on the last bits of a sum.
func round(x float64) float64 { return math.Round(x*10) / 10 }
