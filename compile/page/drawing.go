package page

import (
	"html/template"
	"strconv"
	"strings"
)

// Drawing is the figure's balloons as SVG elements, in drawing order. It is
// made here and not by a template, because a step view has hundreds of balloons
// with a dozen numbers each.
func (f *Figure) Drawing() template.HTML {
	const usual = 400 // bytes that a balloon takes
	size := usual
	for _, b := range f.Balloons {
		if size += len(b.drawn); b.drawn == "" {
			size += usual
		}
	}
	var all strings.Builder
	all.Grow(size)
	d := SVG{markup: make([]byte, 0, 2*usual)}
	for _, b := range f.Balloons {
		if b.drawn != "" {
			all.WriteString(b.drawn)
			continue
		}
		d.markup = d.markup[:0]
		d.balloon(b)
		all.Write(d.markup)
	}
	return template.HTML(all.String())
}

func (d *SVG) balloon(b *Balloon) {
	tag := "g"
	if b.Link != "" {
		tag = "a"
	}
	d.Add("\n<", tag, ` class="balloon `, string(b.State), `"`)
	if b.Link != "" {
		d.Add(` href="`, template.HTMLEscapeString(b.Link), `"`)
	} else {
		d.Add(` role="img"`)
	}
	d.Add(` data-thing="`, template.HTMLEscapeString(b.Thing), `" aria-label="`, template.HTMLEscapeString(b.Text), ": ", template.HTMLEscapeString(b.Name), `">`)
	for _, l := range b.Leaders {
		d.Add(`<path class="leader" d="`)
		d.Line(l.X1, l.Y1, l.X2, l.Y2)
		d.Add(`"/>`)
		d.Circle("dot", l.X2, l.Y2, l.Dot)
	}
	if b.Link != "" {
		d.Circle("hit", b.X, b.Y, b.Hit)
	}
	if b.State == Active {
		d.Circle("halo", b.X, b.Y, b.Halo)
	}
	d.Circle("ring", b.X, b.Y, b.R)
	d.Add(`<text`)
	d.Number("x", b.X)
	d.Number("y", b.Y)
	d.Number("font-size", b.Type)
	d.Add(` dy="0.36em">`, template.HTMLEscapeString(b.Text), `</text>`)
	if b.State == Active {
		d.Add(`<path class="stroke" d="`)
		d.Line(round(b.X-b.R*0.5), round(b.Y-b.R*0.5), round(b.X-b.R*1.25), round(b.Y-b.R*1.25)) // across the rim
		d.Add(`"/>`)
	}
	if sign := b.Sign(); sign != "" {
		d.Circle("badge", b.Badge.X, b.Badge.Y, b.Badge.R)
		d.Add(`<g class="sign" transform="translate(`, Decimal(b.Badge.Left), " ", Decimal(b.Badge.Top), ")scale(", strconv.FormatFloat(b.Badge.Side/24, 'f', 2, 64), `)">`, iconDrawing(sign), `</g>`)
	}
	d.Add("</", tag, ">")
}
