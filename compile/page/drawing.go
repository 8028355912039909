package page

import (
	"cmp"
	"html/template"
	"math"
	"slices"
	"strconv"

	"github.com/a-h/templ"

	"matchmark/procedure"
	"matchmark/procedure/balloon"
)

// Sizes of a balloon in CSS pixels, where a figure fills the smallest box. A balloon's own
// drawing is in these units, whatever those of the picture; the style sheet has the letter
// heights, and where the verb's sign stands.
const (
	haloRadius = 21
	dotRadius  = 3
	// placeRadius is that of a number in the order of tightening.
	placeRadius = 9
)

// radius is that of a balloon's ring.
func (s BalloonState) radius() float64 {
	switch s {
	case Quiet:
		return 12
	case Active, Kept:
		return balloon.Radius
	}
	return 14
}

// Drawing is the figure's balloons as SVG elements, those that matter on top. It is
// made here and not by a component, because a step view has hundreds of balloons
// with a dozen numbers each.
func (f *Figure) Drawing() template.HTML {
	if f.drawn != "" {
		return template.HTML(f.drawn)
	}
	balloons := slices.Clone(f.Balloons)
	slices.SortStableFunc(balloons, func(a, b *Balloon) int { return cmp.Compare(a.State.rank(), b.State.rank()) })
	d := SVG{markup: make([]byte, 0, 400*len(balloons))}
	for _, b := range balloons {
		d.balloon(b, f.unit(), "", nil)
	}
	return template.HTML(d.String())
}

// balloon draws a balloon; a unit is a CSS pixel in the picture's own units. The id may be
// empty, and signs nil; see badge.
func (d *SVG) balloon(b *Balloon, unit float64, id string, signs map[string]bool) {
	tag := "g"
	if b.Link != "" {
		tag = "a"
	}
	d.Add("\n<", tag, ` class="balloon `, string(b.State), `"`)
	if id != "" {
		d.Add(` id="`, id, `"`)
	}
	if b.Link != "" {
		d.Add(` href="`, template.HTMLEscapeString(string(templ.URL(b.Link))), `"`)
	} else {
		d.Add(` role="img"`)
	}
	d.Add(` data-thing="`, template.HTMLEscapeString(b.Thing), `" aria-label="`, template.HTMLEscapeString(b.Text), ": ", template.HTMLEscapeString(b.Name), `">`)
	d.leaders(b, unit)
	d.Add(`<g transform="translate(`)
	d.Decimal(b.X)
	d.Add(" ")
	d.Decimal(b.Y)
	d.Add(")scale(")
	d.markup = appendScale(d.markup, unit)
	d.Add(`)">`)
	d.rings(b)
	d.badge(b.Sign(), signs)
	d.Add("</g></", tag, ">")
}

// leaders draws the lines from a balloon's edge to the places that it names, and the dots
// that they end in. A place within the balloon gets its line from the middle.
func (d *SVG) leaders(b *Balloon, unit float64) {
	edge := b.State.radius() * unit
	if b.State == Active {
		edge = haloRadius * unit
	}
	if len(b.Ends) > 0 {
		d.Add(`<path d="`)
		for _, end := range b.Ends {
			from := fromEdge(b, end, edge)
			d.Line(from.X, from.Y, end.X, end.Y)
		}
		d.Add(`"/>`)
	}
	for _, end := range b.Ends {
		if n := b.Order[end]; n > 0 {
			d.place(end, n, unit)
			continue
		}
		d.Add(`<circle`)
		d.Number("cx", end.X)
		d.Number("cy", end.Y)
		d.Number("r", dotRadius*unit)
		d.Add(`/>`)
	}
}

// place draws the number that a piece has in the order of tightening, over the end of its leader.
func (d *SVG) place(end procedure.Point, number int, unit float64) {
	d.Add(`<g class="place" transform="translate(`)
	d.Decimal(end.X)
	d.Add(" ")
	d.Decimal(end.Y)
	d.Add(")scale(")
	d.markup = appendScale(d.markup, unit)
	d.Add(`)">`)
	d.ring("ring", placeRadius)
	d.Add(`<text dy=".36em">`, strconv.Itoa(number), `</text></g>`)
}

func fromEdge(b *Balloon, end procedure.Point, edge float64) procedure.Point {
	dx, dy := end.X-b.X, end.Y-b.Y
	length := math.Hypot(dx, dy)
	if length <= edge {
		return procedure.Point{X: b.X, Y: b.Y}
	}
	return procedure.Point{X: b.X + dx/length*edge, Y: b.Y + dy/length*edge}
}

// rings draws what stands around a balloon's middle: the area that takes a tap, the second ring of an active
// balloon, the ring, the text, and the stroke across the rim that shows when all is done.
func (d *SVG) rings(b *Balloon) {
	r := b.State.radius()
	if b.Link != "" {
		d.ring("hit", reach)
	}
	if b.State == Active {
		d.ring("halo", haloRadius)
	}
	d.ring("ring", r)
	d.Add(`<text`)
	if len(b.Text) > 2 {
		d.Add(` class="long"`)
	}
	d.Add(` dy=".36em">`, template.HTMLEscapeString(b.Text), `</text>`)
	if b.State == Active {
		d.Add(`<path class="stroke" d="`)
		d.Line(-r*0.5, -r*0.5, -r*1.25, -r*1.25)
		d.Add(`"/>`)
	}
}

func (d *SVG) ring(class string, r float64) {
	d.Add(`<circle class="`, class, `"`)
	d.Number("r", r)
	d.Add(`/>`)
}

// badge draws a verb's sign in a small circle; nothing for no sign. A page that passes the signs that it
// has drawn gets a reference to the first drawing of each.
func (d *SVG) badge(sign string, drawn map[string]bool) {
	switch {
	case sign == "":
		return
	case drawn[sign]:
		d.Add(`<use href="#s_`, sign, `"/>`)
		return
	}
	d.Add(`<g class="badge"`)
	if drawn != nil {
		drawn[sign] = true
		d.Add(` id="s_`, sign, `"`) // no name of an author has an underscore
	}
	d.Add(`><circle r="10"/><g>`, iconDrawing(sign), `</g></g>`)
}

// appendScale writes a scale as short as a thousandth allows.
func appendScale(dst []byte, x float64) []byte {
	return strconv.AppendFloat(dst, math.Round(x*1000)/1000, 'f', -1, 64)
}
