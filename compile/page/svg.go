package page

import (
	"math"
	"strconv"
)

// SVG is a drawing while it is written. Numbers and marks go in as they are;
// whoever writes an author's words escapes them.
type SVG struct{ markup []byte }

// String returns what was written.
func (d *SVG) String() string { return string(d.markup) }

// Add writes pieces of markup.
func (d *SVG) Add(pieces ...string) {
	for _, s := range pieces {
		d.markup = append(d.markup, s...)
	}
}

// Number writes an attribute that is a number.
func (d *SVG) Number(attribute string, x float64) {
	d.Add(" ", attribute, `="`)
	d.markup = append(appendDecimal(d.markup, x), '"')
}

// Circle writes a circle.
func (d *SVG) Circle(class string, x, y, r float64) {
	d.Add(`<circle class="`, class, `"`)
	d.Number("cx", x)
	d.Number("cy", y)
	d.Number("r", r)
	d.Add(`/>`)
}

// Line writes a straight line as the data of a path.
func (d *SVG) Line(x1, y1, x2, y2 float64) {
	d.markup = appendDecimal(append(d.markup, 'M'), x1)
	d.markup = appendDecimal(append(d.markup, ' '), y1)
	d.markup = appendDecimal(append(d.markup, 'L'), x2)
	d.markup = appendDecimal(append(d.markup, ' '), y2)
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
	d.Add(`<rect class="`, class, `"`)
	d.Number("x", x)
	d.Number("y", y)
	d.Number("width", width)
	d.Number("height", height)
	d.Add(`/>`)
}
