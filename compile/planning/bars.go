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
const (
	chartWidth  = 700.0
	nameWidth   = 84.0 // column of the names at the left
	bandHead    = 26.0 // strip with the clock
	laneHeight  = 52.0
	barTop      = 15.0 // in the lane; above it there is room for the numbers of narrow bars
	barHeight   = 30.0
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
	// layers are the marks of the lane that is drawn.
	layers [len(barLayers)]page.SVG
}

// lane is a row of the chart: what a person does, or when the only one of a thing is in use.
type lane struct {
	name  string
	thing bool
	bars  []int
}

// drawRoster writes the bar chart of a roster, one SVG for each band. One chart
// draws the rosters of a job one after the other, in the room that it has.
func (c *chart) drawRoster(r crew) template.HTML {
	const usual = 512 // bytes that a bar takes
	c.Reset()
	c.Grow(usual * (len(r.Bars) + 2))
	e := c.e
	c.crew, c.lanes = r, nil
	for _, l := range r.Lanes {
		c.lanes = append(c.lanes, lane{name: e.words.T("plan.person", l.Person), bars: l.Bars})
	}
	for _, t := range r.Things {
		if drawn(t) {
			c.lanes = append(c.lanes, lane{name: t.Thing.Name, thing: true, bars: t.Bars})
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

// drawn reports whether a thing gets a lane: used once, it delays nothing.
func drawn(t schedule.ThingLane) bool { return len(t.Bars) > 1 }

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
	return nameWidth + (minute-c.from)/c.band*(chartWidth-nameWidth)
}

func (c *chart) drawBand(number, of int) {
	lanes := slices.DeleteFunc(slices.Clone(c.lanes), func(l lane) bool { return l.thing && !slices.ContainsFunc(l.bars, c.inBand) })
	height := bandHead + float64(len(lanes))*laneHeight + bandFoot
	label := c.e.words.T("plan.chart.band", number, of, c.crew.Crew)
	c.Add("\n", `<svg role="img" aria-label="`, template.HTMLEscapeString(label), `" viewBox="0 0 `)
	c.Decimal(chartWidth)
	c.Add(" ")
	c.Decimal(height)
	c.Add(`"`)
	c.Number("width", chartWidth)
	c.Number("height", height)
	c.Add(">")
	end := math.Min(c.band, c.crew.Length-c.from) // of the job, in this band
	c.Add(`<path class="tick" d="`)
	for m := 0.0; m <= c.band+same; m += c.mark {
		c.Line(c.x(c.from+m), bandHead-6, c.x(c.from+m), height-bandFoot)
	}
	c.Add(`"/>`)
	for m := 0.0; m < c.band; m += c.mark {
		c.Text("clock", c.x(c.from+m)+3, bandHead-9, clock(c.from+m))
	}
	for k, l := range lanes {
		top := bandHead + float64(k)*laneHeight
		c.drawLane(l, top, c.x(c.from+end))
	}
	if c.crew.Length <= c.from+c.band+same {
		x := c.x(c.crew.Length)
		c.Add(`<path class="finish" d="`)
		c.Line(x, bandHead-6, x, height-bandFoot)
		c.Add(`"/>`)
	}
	c.Add("</svg>")
}

// inBand reports whether a part of a bar lies in the band.
func (c *chart) inBand(at int) bool {
	b := c.crew.Bars[at]
	return b.End > c.from+same && b.Start < c.from+c.band-same
}

func (c *chart) drawLane(l lane, top, end float64) {
	for i, words := range drawing.Wrap(l.name, nameWidth-6, nameSize, 2) {
		c.Text("name", 0, top+barTop+nameSize+float64(i)*(nameSize+2), words)
	}
	c.Add(`<path class="idle" d="`)
	c.Line(c.x(c.from), top+barTop+barHeight/2, end, top+barTop+barHeight/2)
	c.Add(`"/>`)
	for i := range c.layers {
		c.layers[i].Reset()
	}
	narrow := 0 // how many narrow bars stand side by side, for their numbers to take turns
	for _, at := range l.bars {
		if !c.inBand(at) {
			continue
		}
		if c.drawBar(c.crew.Bars[at], l.thing, top, narrow) {
			narrow++
		} else {
			narrow = 0
		}
	}
	for i, class := range barLayers {
		d := &c.layers[i]
		switch {
		case d.Empty():
		case layer(i) == numbers:
			c.Append(d)
		default:
			c.Add(`<path class="`, class)
			if layer(i) == together || layer(i) == criticalTogether {
				c.Add(`" fill="url(#ui_hatch)`)
			}
			c.Add(`" d="`)
			c.Append(d)
			c.Add(`"/>`)
		}
	}
}

// layer is what lies on what in a lane. All marks of a layer are one path, because
// a chart has hundreds of them.
type layer int

// The layers, from the lowest up.
const (
	ground layer = iota
	thingBar
	bar
	together
	critical
	criticalTogether
	holdMark
	plate
	numbers
)

// barLayers are the classes of the layers; the numbers are no path and have classes of their own.
var barLayers = [...]string{"ground", "bar thing", "bar", "bar together", "bar critical", "bar together critical", "hold-mark", "plate", ""}

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

// drawBar draws what of a bar lies in the band, and reports whether its number had no room inside.
func (c *chart) drawBar(b schedule.Bar, thing bool, top float64, turn int) (narrow bool) {
	left, right := c.x(math.Max(b.Start, c.from)), c.x(math.Min(b.End, c.from+c.band))
	width := math.Max(right-left, 2)
	y, height := top+barTop, barHeight
	if thing {
		y, height = y+6, height-12
	}
	c.layers[ground].Box(left, y, width, height)
	of := barLayer(thing, len(b.People) > 1, c.crew.Critical[b.Index])
	c.layers[of].Box(left+0.75, y+0.75, math.Max(width-1.5, 0.5), height-1.5)
	if state.Hold(b.Activity.Step) != nil && !thing && b.End <= c.from+c.band+same {
		c.layers[holdMark].Line(right-2, y-5, right-2, y+height+5)
	}
	words := strconv.Itoa(b.Activity.Step.Number)
	need := digitWidth*float64(len(words)) + 2*numberInset
	if narrow = width < need; narrow {
		above := y - 3
		if turn%2 == 1 {
			above = y + height + 12
		}
		c.layers[numbers].Text("number out", left+width/2, above, words)
		return true
	}
	c.layers[plate].Box(left+width/2-need/2+1, y+height/2-9, need-2, 18)
	c.layers[numbers].Text("number", left+width/2, y+height/2+5, words)
	return false
}
