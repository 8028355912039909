package planning

import (
	"html/template"
	"math"
	"slices"
	"strconv"

	"matchmark/compile/drawing"
	"matchmark/compile/page"
	"matchmark/procedure/schedule"
	"matchmark/procedure/state"
)

// Measures of the bar chart, in CSS pixels. It comes in bands, one below the
// other, each a stretch of time: so it needs no scrolling on a tablet held upright, a
// page can break between bands, and short steps stay wide enough for their number.
// All that is drawn lies on whole pixels. The style sheet knows chartWidth.
const (
	chartWidth  = 700.0
	nameWidth   = 84.0 // column of the names at the left
	bandHead    = 26.0 // strip with the clock
	laneHeight  = 52.0
	barTop      = 15.0 // in the lane; above it there is room for the numbers of narrow bars
	barHeight   = 30.0
	thinner     = 6.0 // by how much the bar of a thing is shorter, at the top and at the bottom
	bandFoot    = 10.0
	digitWidth  = 9.5
	mostBands   = 4
	numberInset = 4.0
	nameSize    = 13.0
)

// stretches are how many minutes a band can hold, and how far apart its marks lie.
var stretches = []struct{ minutes, mark float64 }{{15, 5}, {30, 5}, {60, 10}, {90, 15}, {120, 20}, {180, 30}, {240, 30}, {480, 60}}

// chart is a roster while it is drawn.
type chart struct {
	page.SVG
	e     *emitter
	crew  crew
	lanes []lane
	from  float64 // where the band starts
	band  float64 // its minutes
	mark  float64
	// layers are the paths of the band that is drawn, numbers what is written into it and
	// rows what is written into one of its lanes.
	layers  [len(layerClasses)]page.SVG
	numbers page.SVG
	rows    [len(rowClasses)]page.SVG
}

// lane is a row of the chart: what a person does, or when a piece of a thing is in use.
type lane struct {
	name  []string // in lines
	thing bool
	bars  []int
}

// drawRoster writes the bar chart of a roster, one SVG for each band. One chart
// draws the rosters of a job one after the other, in the room that it has.
func (c *chart) drawRoster(r crew) template.HTML {
	const usual = 192 // bytes that a bar takes
	c.Reset()
	c.Grow(usual * (len(r.Bars) + 2))
	e := c.e
	c.crew, c.lanes = r, make([]lane, 0, len(r.Lanes)+len(r.Things))
	for _, l := range r.Lanes {
		c.lanes = append(c.lanes, lane{name: wrapped(e.words.T("plan.person", l.Person)), bars: l.Bars})
	}
	for _, t := range r.Things {
		if drawn(t) {
			c.lanes = append(c.lanes, lane{name: wrapped(e.pieceName(t)), thing: true, bars: t.Bars})
		}
	}
	c.band, c.mark = stretch(r.Length)
	bands := max(int(math.Ceil(r.Length/c.band-same)), 1)
	for k := range bands {
		c.from = float64(k) * c.band
		c.drawBand(k+1, bands)
	}
	return template.HTML(c.String())
}

func wrapped(name string) []string { return drawing.Wrap(name, nameWidth-6, nameSize, 2) }

// drawn reports whether a thing gets a lane: what nobody waits for delays nothing.
func drawn(t schedule.ThingLane) bool { return t.Waited }

// pieceName names a piece of a thing, by its number where there are several.
func (e *emitter) pieceName(t schedule.ThingLane) string {
	if t.Thing.Count > 1 {
		return e.words.T("plan.piece", t.Thing.Name, t.Piece)
	}
	return t.Thing.Name
}

// stretch chooses the minutes of a band and the distance of its marks.
func stretch(length float64) (minutes, mark float64) {
	for _, s := range stretches {
		if length <= mostBands*s.minutes {
			return s.minutes, s.mark
		}
	}
	minutes = math.Ceil(length/mostBands/60) * 60
	return minutes, math.Ceil(minutes/480) * 60
}

func (c *chart) x(minute float64) float64 {
	return nameWidth + math.Round((minute-c.from)/c.band*(chartWidth-nameWidth))
}

func (c *chart) drawBand(number, of int) {
	lanes := slices.DeleteFunc(slices.Clone(c.lanes), func(l lane) bool { return l.thing && !slices.ContainsFunc(l.bars, c.inBand) })
	height := bandHead + float64(len(lanes))*laneHeight + bandFoot
	label := c.e.words.T("plan.chart.band", number, of, c.crew.Crew)
	c.Add("\n", `<svg role="img" aria-label="`, template.HTMLEscapeString(label), `" viewBox="0 0 `)
	c.Decimal(chartWidth)
	c.Add(" ")
	c.Decimal(height)
	c.Add(`">`)
	for i := range c.layers {
		c.layers[i].Reset()
	}
	c.numbers.Reset()
	for m := 0.0; m <= c.band+same; m += c.mark {
		x := c.x(c.from + m)
		c.layers[tick].Line(x, bandHead-6, x, height-bandFoot)
		if m < c.band {
			inRow(&c.rows[0], x+3, clock(c.from+m))
		}
	}
	c.writeRow(0, "clock", bandHead-9)
	end := c.x(math.Min(c.crew.Length, c.from+c.band)) // of the job, in this band
	for k, l := range lanes {
		c.drawLane(l, bandHead+float64(k)*laneHeight, end)
	}
	if c.crew.Length <= c.from+c.band+same {
		c.layers[finish].Line(end, bandHead-6, end, height-bandFoot)
	}
	for i, class := range layerClasses {
		if c.layers[i].Empty() {
			continue
		}
		c.Add(`<path class="`, class)
		if layer(i) == together || layer(i) == criticalTogether {
			c.Add(`" fill="url(#ui_hatch)`)
		}
		c.Add(`" d="`)
		c.Append(&c.layers[i])
		c.Add(`"/>`)
	}
	c.Append(&c.numbers)
	c.Add("</svg>")
}

// inBand reports whether a part of a bar lies in the band.
func (c *chart) inBand(at int) bool {
	b := &c.crew.Bars[at]
	return b.End > c.from+same && b.Start < c.from+c.band-same
}

// layer is what lies on what in a band. All marks of a layer are one path, because
// a chart has hundreds of them.
type layer int

// The layers, from the lowest up.
const (
	tick layer = iota
	idle
	thingBar
	bar
	together
	critical
	criticalTogether
	holdMark
	finish
)

// layerClasses are the classes of the layers.
var layerClasses = [...]string{"tick", "idle", "bar thing", "bar", "bar together", "bar critical", "bar together critical", "hold-mark", "finish"}

// barLayer is where a bar of that kind lies.
func barLayer(thing, isTogether, isCritical bool) layer {
	switch {
	case thing:
		return thingBar
	case isTogether && isCritical:
		return criticalTogether
	case isTogether:
		return together
	case isCritical:
		return critical
	}
	return bar
}

// The rows of a lane that numbers stand in.
const (
	inside = iota // the bars
	above
	below
)

var rowClasses = [...]string{"number", "number out", "number out"}

// inRow writes words without special characters at a place of a row.
func inRow(row *page.SVG, x float64, words string) {
	row.Add(`<tspan x="`)
	row.Decimal(x)
	row.Add(`">`, words, "</tspan>")
}

// writeRow moves what stands in a row to the band.
func (c *chart) writeRow(row int, class string, y float64) {
	if c.rows[row].Empty() {
		return
	}
	c.numbers.Add(`<text class="`, class, `"`)
	c.numbers.Number("y", y)
	c.numbers.Add(">")
	c.numbers.Append(&c.rows[row])
	c.numbers.Add("</text>")
	c.rows[row].Reset()
}

func (c *chart) drawLane(l lane, top, end float64) {
	for i, words := range l.name {
		c.numbers.Add("<text")
		c.numbers.Number("y", top+barTop+nameSize+float64(i)*(nameSize+2))
		c.numbers.Add(">", template.HTMLEscapeString(words), "</text>")
	}
	y, height := top+barTop, barHeight
	if l.thing {
		y, height = y+thinner, height-2*thinner
	}
	c.layers[idle].Line(c.x(c.from), y+height/2, end, y+height/2)
	narrow := 0 // how many narrow bars stand side by side, for their numbers to take turns
	for _, at := range l.bars {
		if !c.inBand(at) {
			continue
		}
		if c.drawBar(&c.crew.Bars[at], l.thing, y, height, narrow) {
			narrow++
		} else {
			narrow = 0
		}
	}
	for row, at := range [...]float64{inside: y + height/2 + 5, above: y - 3, below: y + height + 12} {
		c.writeRow(row, rowClasses[row], at)
	}
}

// drawBar draws what of a bar lies in the band, and reports whether its number had no room inside.
func (c *chart) drawBar(b *schedule.Bar, thing bool, y, height float64, turn int) (narrow bool) {
	left, right := c.x(math.Max(b.Start, c.from)), c.x(math.Min(b.End, c.from+c.band))
	width := math.Max(right-left, 2)
	// The outlines of two bars side by side, each one and a half pixels wide, make one line.
	c.layers[barLayer(thing, len(b.People) > 1, c.crew.critical(b.Index))].Box(left+1, y+1, width-1, height-2)
	if state.Hold(b.Activity.Step) != nil && !thing && b.End <= c.from+c.band+same {
		c.layers[holdMark].Line(right-1, y-5, right-1, y+height+5)
	}
	words := strconv.Itoa(b.Activity.Step.Number)
	row := inside
	if narrow = width < digitWidth*float64(len(words))+2*numberInset; narrow {
		row = above + turn%2
	}
	inRow(&c.rows[row], math.Round(left+width/2), words)
	return narrow
}
