package site

import (
	"html/template"
	"slices"
	"strconv"

	"matchmark/compile/drawing"
	"matchmark/compile/page"
)

// orderBox is what stands in a box of the drawing of the order.
type orderBox struct {
	Number            int
	Title, Link, Time string
	// Longest says that the box is on the longest path, in words; empty for others.
	Longest string
}

// Measures within a box, in CSS pixels.
const (
	boxHead    = 24.0 // height of the strip with number and time
	boxSide    = 10.0 // room at the left and right of the words
	titleSize  = 15.0
	titleFirst = 42.0 // base line of the title's first line
	titleLead  = 18.0
)

// mostWidth is how wide a drawing is shown at full size on a tablet held upright;
// one that is a little wider is made smaller, a much wider one is scrolled.
const (
	mostWidth  = 700.0
	mostShrunk = 790.0
)

// drawOrder writes the drawing as one SVG per row. It is made here and not by a
// template, because a long job has hundreds of marks with half a dozen numbers each.
func drawOrder(l drawing.Layers, boxes []orderBox, longest []bool) template.HTML {
	scale := 1.0
	if l.Width > mostWidth && l.Width <= mostShrunk {
		scale = mostWidth / l.Width
	}
	const usual = 900 // bytes that a box takes, with the lines from it
	var d page.SVG
	d.Grow(usual * len(boxes))
	for _, r := range l.Rows {
		d.Add("\n<svg", ` viewBox="0 `)
		d.Decimal(r.Top)
		d.Add(" ")
		d.Decimal(l.Width)
		d.Add(" ")
		d.Decimal(r.Height)
		d.Add(`"`)
		d.Number("width", l.Width*scale)
		d.Number("height", r.Height*scale)
		d.Add(">")
		drawPieces(&d, r.Pieces, longest)
		for _, b := range r.Boxes {
			drawBox(&d, b, boxes[b.Node])
		}
		d.Add("</svg>")
	}
	return template.HTML(d.String())
}

// drawPieces writes the lines; those of the longest path lie above the others, as double lines.
func drawPieces(d *page.SVG, pieces []drawing.Piece, longest []bool) {
	on := func(p drawing.Piece) bool {
		return slices.ContainsFunc(p.Arrows, func(i int) bool { return longest[i] })
	}
	for _, p := range pieces {
		if !on(p) {
			drawPiece(d, "line", p)
		}
	}
	for _, p := range pieces {
		if on(p) {
			drawPiece(d, "line longest", p)
			drawPiece(d, "between", p)
		}
	}
	for _, p := range pieces {
		head := "l-6-9h12z"
		if on(p) {
			head = "l-9-12h18z"
		}
		if p.Ends {
			d.Add(`<path class="head" d="M`)
			d.Decimal(p.To.X)
			d.Add(" ")
			d.Decimal(p.To.Y)
			d.Add(head, `"/>`)
		}
	}
}

func drawPiece(d *page.SVG, class string, p drawing.Piece) {
	d.Add(`<path class="`, class, `" d="`)
	if p.From.X == p.To.X {
		d.Line(p.From.X, p.From.Y, p.To.X, p.To.Y)
	} else {
		d.Curve(p.From.X, p.From.Y, p.To.X, p.To.Y)
	}
	d.Add(`"/>`)
}

func drawBox(d *page.SVG, at drawing.Box, b orderBox) {
	class := "order-box"
	if b.Longest != "" {
		class += " longest"
	}
	d.Add(`<a class="`, class, `" href="`, template.HTMLEscapeString(b.Link), `">`)
	d.Rect("frame", at.X+1.5, at.Y+1.5, at.Width-3, at.Height-3)
	d.Rect("strip", at.X+1.5, at.Y+1.5, at.Width-3, boxHead)
	// What is read aloud is the texts in this order; the spaces keep their words apart.
	d.Text("number", at.X+boxSide, at.Y+boxHead-6, strconv.Itoa(b.Number)+" ")
	for i, line := range drawing.Wrap(b.Title, at.Width-2*boxSide, titleSize, 2) {
		d.Text("title", at.X+boxSide, at.Y+titleFirst+float64(i)*titleLead, line+" ")
	}
	d.Text("time", at.X+at.Width-boxSide, at.Y+boxHead-6, b.Time)
	if b.Longest != "" {
		d.Text("aloud", at.X+boxSide, at.Y+boxHead, ", "+b.Longest)
	}
	d.Add("</a>")
}
