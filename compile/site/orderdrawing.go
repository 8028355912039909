package site

import (
	"html/template"
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

// Room for the words in a box, in CSS pixels. Where they stand, and the size of the
// frame, is in order.css: it is the same in every box.
const (
	titleWidth = drawing.BoxWidth - 20
	titleSize  = 15.0
	titleLines = 2
)

// mostWidth is how wide a drawing is shown at full size on a tablet held upright;
// one that is a little wider is made smaller, a much wider one is scrolled.
const (
	mostWidth  = 700.0
	mostShrunk = 790.0
)

// drawOrder writes the drawing as one SVG per row. It is made here and not by a
// component, because a long job has hundreds of marks. A row's drawing counts from the
// upper edge of its boxes, so a box is put into its place by a single number.
func drawOrder(l drawing.Layers, boxes []orderBox) template.HTML {
	scale := 1.0
	if l.Width > mostWidth && l.Width <= mostShrunk {
		scale = mostWidth / l.Width
	}
	const usual = 400 // bytes that a box takes, with the lines from it
	var d orderDrawing
	d.Grow(usual * len(boxes))
	for _, r := range l.Rows {
		top := r.Boxes[0].Y
		d.Add("\n<svg", ` viewBox="0 `)
		d.Decimal(r.Top - top)
		d.Add(" ")
		d.Decimal(l.Width)
		d.Add(" ")
		d.Decimal(r.Height)
		d.Add(`"`)
		d.Number("width", l.Width*scale)
		d.Number("height", r.Height*scale)
		d.Add(">")
		d.lines(r.Pieces, top)
		for _, b := range r.Boxes {
			d.box(b.X, &boxes[b.Node])
		}
		d.Add("</svg>")
	}
	return template.HTML(d.String())
}

// orderDrawing is the drawing while it is written, with room for a row's lines.
type orderDrawing struct {
	page.SVG
	thin, heavy, heads page.SVG
}

// lines writes the lines of a row, each kind as one path. Those of the longest path
// lie above the others, as double lines.
func (d *orderDrawing) lines(pieces []drawing.Piece, top float64) {
	d.thin.Reset()
	d.heavy.Reset()
	d.heads.Reset()
	for _, p := range pieces {
		line, head := &d.thin, "l-6-9h12z"
		if p.Heavy {
			line, head = &d.heavy, "l-9-12h18z"
		}
		line.Drop(p.From.X, p.From.Y-top, p.To.X-p.From.X, p.To.Y-p.From.Y)
		if p.Ends {
			d.heads.Add("M")
			d.heads.Decimal(p.To.X)
			d.heads.Add(" ")
			d.heads.Decimal(p.To.Y - top)
			d.heads.Add(head)
		}
	}
	d.path("line", &d.thin)
	d.path("line longest", &d.heavy)
	d.path("between", &d.heavy)
	d.path("head", &d.heads)
}

// path writes a path of a class, if there is anything in it.
func (d *orderDrawing) path(class string, data *page.SVG) {
	if !data.Empty() {
		d.Add(`<path class="`, class, `" d="`)
		d.Append(data)
		d.Add(`"/>`)
	}
}

// box writes a box; the title's lines are the texts without a class.
func (d *orderDrawing) box(x float64, b *orderBox) {
	d.Add(`<a href="`, template.HTMLEscapeString(b.Link), `" transform="translate(`)
	d.Decimal(x)
	d.Add(`)"`)
	if b.Longest != "" {
		d.Add(` class="longest"`)
	}
	d.Add(`><rect/><rect/>`) // the frame, and in it the strip for number and time
	// What is read aloud is the texts in this order; the spaces keep their words apart.
	d.Add(`<text class="number">`, strconv.Itoa(b.Number), " </text>")
	for _, line := range drawing.Wrap(b.Title, titleWidth, titleSize, titleLines) {
		d.Add("<text>", template.HTMLEscapeString(line), " </text>")
	}
	d.Add(`<text class="time">`, template.HTMLEscapeString(b.Time), "</text>")
	if b.Longest != "" {
		d.Add(`<text class="aloud">, `, template.HTMLEscapeString(b.Longest), "</text>")
	}
	d.Add("</a>")
}
