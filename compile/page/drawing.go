package page

import (
	"html/template"
	"strconv"
	"strings"
)

// Icon is one of the signs of "part/icons", by name, for a page that has them.
func Icon(name string) template.HTML {
	return template.HTML(`<svg class="icon" aria-hidden="true"><use href="#ui_i-` + name + `"/></svg>`)
}

// Drawing is the figure's balloons as SVG elements, in drawing order. It is
// made here and not by a template, because a step view has hundreds of balloons
// with a dozen numbers each.
func (f *Figure) Drawing() template.HTML {
	d := drawing{}
	for _, b := range f.Balloons {
		d.balloon(b)
	}
	return template.HTML(d.String())
}

// drawing writes SVG. Numbers go in as they are, author's words escaped.
type drawing struct{ strings.Builder }

func (d *drawing) balloon(b *Balloon) {
	tag := "g"
	if b.Link != "" {
		tag = "a"
	}
	d.add("\n<", tag, ` class="balloon `, string(b.State), `"`)
	if b.Link != "" {
		d.add(` href="`, template.HTMLEscapeString(b.Link), `"`)
	} else {
		d.add(` role="img"`)
	}
	d.add(` data-thing="`, template.HTMLEscapeString(b.Thing), `" aria-label="`, template.HTMLEscapeString(b.Text+": "+b.Name), `">`)
	for _, l := range b.Leaders {
		d.add(`<path class="leader" d="`)
		d.line(l.X1, l.Y1, l.X2, l.Y2)
		d.add(`"/>`)
		d.circle("dot", l.X2, l.Y2, l.Dot)
	}
	if b.Link != "" {
		d.circle("hit", b.X, b.Y, b.Hit)
	}
	if b.State == Active {
		d.circle("halo", b.X, b.Y, b.Halo)
	}
	d.circle("ring", b.X, b.Y, b.R)
	d.add(`<text`)
	d.number("x", b.X)
	d.number("y", b.Y)
	d.number("font-size", b.Type)
	d.add(` dy="0.36em">`, template.HTMLEscapeString(b.Text), `</text>`)
	if b.State == Active {
		d.add(`<path class="stroke" d="`)
		d.line(round(b.X-b.R*0.5), round(b.Y-b.R*0.5), round(b.X-b.R*1.25), round(b.Y-b.R*1.25)) // across the rim
		d.add(`"/>`)
	}
	if sign := b.Sign(); sign != "" {
		d.circle("badge", b.Badge.X, b.Badge.Y, b.Badge.R)
		d.add(`<use class="sign" href="#ui_i-`, sign, `"`)
		d.number("x", b.Badge.Left)
		d.number("y", b.Badge.Top)
		d.number("width", b.Badge.Side)
		d.number("height", b.Badge.Side)
		d.add(`/>`)
	}
	d.add("</", tag, ">")
}

func (d *drawing) add(pieces ...string) {
	for _, s := range pieces {
		d.WriteString(s)
	}
}

func (d *drawing) circle(class string, x, y, r float64) {
	d.add(`<circle class="`, class, `"`)
	d.number("cx", x)
	d.number("cy", y)
	d.number("r", r)
	d.add(`/>`)
}

func (d *drawing) line(x1, y1, x2, y2 float64) {
	d.add("M", decimal(x1), " ", decimal(y1), "L", decimal(x2), " ", decimal(y2))
}

func (d *drawing) number(attribute string, x float64) {
	d.add(" ", attribute, `="`, decimal(x), `"`)
}

func decimal(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
