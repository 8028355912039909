package page

import (
	"math"
	"strconv"
	"strings"
)

// SVG is a drawing while it is written. Numbers and marks go in as they are;
// whoever writes an author's words escapes them.
type SVG struct{ strings.Builder }

// Add writes pieces of markup.
func (d *SVG) Add(pieces ...string) {
	for _, s := range pieces {
		d.WriteString(s)
	}
}

// Number writes an attribute that is a number.
func (d *SVG) Number(attribute string, x float64) {
	d.Add(" ", attribute, `="`, Decimal(x), `"`)
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
	d.Add("M", Decimal(x1), " ", Decimal(y1), "L", Decimal(x2), " ", Decimal(y2))
}

// Decimal writes a number as a drawing takes it, to a tenth of a unit.
func Decimal(x float64) string {
	tenths := int64(math.Round(x * 10))
	whole := strconv.FormatInt(tenths/10, 10)
	switch rest := tenths % 10; {
	case rest == 0:
		return whole
	case tenths < 0:
		return "-" + strings.TrimPrefix(whole, "-") + "." + string('0'-byte(rest))
	default:
		return whole + "." + string('0'+byte(rest))
	}
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
