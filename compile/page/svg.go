package page

import (
	"math"
	"slices"
	"strconv"
)

// SVG is a drawing while it is written. Numbers and marks go in as they are;
// whoever writes an author's words with Add escapes them.
type SVG struct{ markup []byte }

// String returns what was written.
func (d *SVG) String() string { return string(d.markup) }

// Reset empties the drawing and keeps its room for the next one.
func (d *SVG) Reset() { d.markup = d.markup[:0] }

// Grow makes room for so many more bytes.
func (d *SVG) Grow(n int) { d.markup = slices.Grow(d.markup, n) }

// Append writes another drawing behind this one.
func (d *SVG) Append(other *SVG) { d.markup = append(d.markup, other.markup...) }

// Empty reports whether nothing was written.
func (d *SVG) Empty() bool { return len(d.markup) == 0 }

// Add writes pieces of markup.
func (d *SVG) Add(pieces ...string) {
	m := d.markup
	for _, s := range pieces {
		m = append(m, s...)
	}
	d.markup = m
}

// Number writes an attribute that is a number.
func (d *SVG) Number(attribute string, x float64) { d.markup = appendNumber(d.markup, attribute, x) }

func appendNumber(m []byte, attribute string, x float64) []byte {
	m = append(append(append(m, ' '), attribute...), `="`...)
	return append(appendDecimal(m, x), '"')
}

// Decimal writes a number by itself, such as one in the data of a path.
func (d *SVG) Decimal(x float64) { d.markup = appendDecimal(d.markup, x) }

// Box writes a rectangle as the data of a path.
func (d *SVG) Box(x, y, width, height float64) {
	m := appendDecimal(append(d.markup, 'M'), x)
	m = appendDecimal(append(m, ' '), y)
	m = appendDecimal(append(m, 'h'), width)
	m = appendDecimal(append(m, 'v'), height)
	m = appendDecimal(append(m, "h-"...), width)
	d.markup = append(m, 'z')
}

// Circle writes a circle.
func (d *SVG) Circle(class string, x, y, r float64) {
	m := append(append(append(d.markup, `<circle class="`...), class...), '"')
	m = appendNumber(appendNumber(appendNumber(m, "cx", x), "cy", y), "r", r)
	d.markup = append(m, "/>"...)
}

// Line writes a straight line as the data of a path.
func (d *SVG) Line(x1, y1, x2, y2 float64) {
	m := appendDecimal(append(d.markup, 'M'), x1)
	m = appendDecimal(append(m, ' '), y1)
	m = appendDecimal(append(m, 'L'), x2)
	d.markup = appendDecimal(append(m, ' '), y2)
}

// Drop writes a line down as the data of a path: from a place, as far across and down.
// It leaves and arrives upright.
func (d *SVG) Drop(x, y, across, down float64) {
	m := appendDecimal(append(d.markup, 'M'), x)
	m = appendDecimal(append(m, ' '), y)
	if across == 0 {
		d.markup = appendDecimal(append(m, 'v'), down)
		return
	}
	m = appendDecimal(append(m, "c0 "...), down/2)
	m = appendDecimal(append(m, ' '), across)
	m = appendDecimal(append(m, ' '), down/2)
	m = appendDecimal(append(m, ' '), across)
	d.markup = appendDecimal(append(m, ' '), down)
}

// Decimal writes a number as a drawing takes it, to a tenth of a unit.
func Decimal(x float64) string { return string(appendDecimal(nil, x)) }

func appendDecimal(dst []byte, x float64) []byte {
	tenths := int64(math.Round(x * 10))
	if tenths < 0 {
		dst = append(dst, '-')
		tenths = -tenths
	}
	dst = strconv.AppendInt(dst, tenths/10, 10)
	if rest := tenths % 10; rest > 0 {
		dst = append(dst, '.', '0'+byte(rest))
	}
	return dst
}

// Rect draws a rectangle of a class.
func (d *SVG) Rect(class string, x, y, width, height float64) {
	m := append(append(append(d.markup, `<rect class="`...), class...), '"')
	m = appendNumber(appendNumber(appendNumber(appendNumber(m, "x", x), "y", y), "width", width), "height", height)
	d.markup = append(m, "/>"...)
}
