package classresult

import (
	"html/template"
	"strconv"

	"matchmark/compile/page"
)

// Measures of the plots in their own units, CSS pixels on a tablet held upright.
// Nothing is told by colour alone: what is below the pass mark is hollow, and so
// is the lower group.
const (
	plotWidth = 680.0
	plotLeft  = 44.0
	plotRight = 664.0
	textSize  = 15.0

	scoresTop    = 34.0
	scoresFoot   = 214.0
	scoresHeight = 262.0
	mostBars     = 31

	rowHeight   = 30.0
	answersTop  = 34.0
	dotRadius   = 7.5
	axisOverlap = 6.0
)

// plot is a plot while it is drawn.
type plot struct{ page.SVG }

func newPlot(height float64, title string) *plot {
	p := &plot{}
	p.Add(`<svg class="plot" role="img" aria-label="`, template.HTMLEscapeString(title), `" viewBox="0 0 `, page.Decimal(plotWidth), " ", page.Decimal(height), `">`)
	return p
}

func (p *plot) done() template.HTML {
	p.Add("</svg>")
	return template.HTML(p.String())
}

func (p *plot) line(class string, x1, y1, x2, y2 float64) {
	p.Add(`<path class="`, class, `" d="`)
	p.Line(x1, y1, x2, y2)
	p.Add(`"/>`)
}

// text writes words; anchor is start, middle or end.
func (p *plot) text(x, y float64, anchor, words string) {
	p.Add(`<text text-anchor="`, anchor, `"`)
	p.Number("x", x)
	p.Number("y", y)
	p.Number("font-size", textSize)
	p.Add(`>`, template.HTMLEscapeString(words), `</text>`)
}

// bin is a run of points with the learners who reached them.
type bin struct{ from, to, learners int }

// bins gathers the scores so that they fit into the plot. The pass mark is where
// one bin ends and the next begins.
func bins(scores []int, pass int) []bin {
	width := (len(scores) + mostBars - 1) / mostBars
	var out []bin
	if first := pass % width; first > 0 {
		out = append(out, bin{0, first - 1, 0})
	}
	for from := pass % width; from < len(scores); from += width {
		out = append(out, bin{from, min(from+width, len(scores)) - 1, 0})
	}
	for i := range out {
		for points := out[i].from; points <= out[i].to; points++ {
			out[i].learners += scores[points]
		}
	}
	return out
}

// drawScores draws how many learners reached how many points.
func (w *writer) drawScores() template.HTML {
	p := newPlot(scoresHeight, w.words.T("result.scores"))
	all := bins(w.analysis.Scores, w.pass)
	most := 1
	for _, b := range all {
		most = max(most, b.learners)
	}
	step := (plotRight - plotLeft) / float64(len(all))
	p.text(8, scoresTop-14, "start", w.words.T("result.learners"))
	tick := (most + 3) / 4
	up := func(learners int) float64 {
		return scoresFoot - (scoresFoot-scoresTop)*float64(learners)/float64(most)
	}
	for n := tick; n <= most; n += tick {
		p.line("grid", plotLeft, up(n), plotRight, up(n))
		p.text(plotLeft-8, up(n)+5, "end", strconv.Itoa(n))
	}
	label := (len(all) + 10) / 11
	for i, b := range all {
		x := plotLeft + step*float64(i)
		class := "short-of"
		if b.from >= w.pass {
			class = "reached"
		}
		if b.learners > 0 {
			p.Rect(class, x+step*0.12, up(b.learners), step*0.76, scoresFoot-up(b.learners))
		}
		if i%label == 0 {
			p.text(x+step/2, scoresFoot+20, "middle", strconv.Itoa(b.from))
		}
		if b.from == w.pass {
			p.line("mark", x, scoresTop-10, x, scoresFoot+axisOverlap)
			anchor := "start"
			if x > plotWidth*0.6 {
				anchor = "end"
			}
			p.text(x+map[string]float64{"start": 6, "end": -6}[anchor], scoresTop-14, anchor, w.words.T("result.pass-mark", w.pass))
		}
	}
	p.line("axis", plotLeft, scoresFoot, plotRight, scoresFoot)
	p.text((plotLeft+plotRight)/2, scoresHeight-6, "middle", w.words.T("result.points-axis"))
	return p.done()
}

// drawAnswers draws for each question which share of the upper and of the lower
// group had it right, joined by a line. A line that runs the wrong way is dashed.
func (w *writer) drawAnswers(questions []Question) template.HTML {
	foot := answersTop + rowHeight*float64(len(questions))
	p := newPlot(foot+44, w.words.T("result.answers"))
	at := func(share float64) float64 {
		return plotLeft + dotRadius + (plotRight-plotLeft-2*dotRadius)*share
	}
	for percent := 0; percent <= 100; percent += 25 {
		x := at(float64(percent) / 100)
		p.line("grid", x, answersTop-axisOverlap, x, foot)
		p.text(x, foot+18, "middle", strconv.Itoa(percent))
	}
	p.text(plotLeft-8, answersTop-12, "end", w.words.T("result.number"))
	for i, q := range questions {
		y := answersTop + rowHeight*(float64(i)+0.5)
		p.text(plotLeft-12, y+5, "end", strconv.Itoa(q.Number))
		class := "span"
		if q.item.Lower > q.item.Upper {
			class = "span backward"
		}
		p.line(class, at(q.item.Lower), y, at(q.item.Upper), y)
		p.Circle("lower", at(q.item.Lower), y, dotRadius)
		p.Circle("upper", at(q.item.Upper), y, dotRadius-2)
		if q.Look {
			p.text(plotLeft-10, y+5, "start", "!")
		}
	}
	p.text((plotLeft+plotRight)/2, foot+38, "middle", w.words.T("result.right-axis"))
	return p.done()
}
