package qti

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"math"
	"path"
	"strconv"

	"matchmark/compile/picture"
	"matchmark/compile/quizpage"
)

// The box, in CSS pixels, that a figure fills in an item.
const (
	boxWidth  = 720
	boxHeight = 560
)

// lettered is how the balloons look: as on the site's paper.
const lettered = `.balloon>path{fill:none;stroke:#1b1a17;stroke-width:1.2;vector-effect:non-scaling-stroke}.balloon>circle{fill:#1b1a17}` +
	`.ring{fill:#fffdf8;stroke:#1b1a17;stroke-width:1.6;vector-effect:non-scaling-stroke}text{fill:#1b1a17;font-family:sans-serif;font-weight:600;text-anchor:middle;font-size:16.1px}`

// pointFigure is a figure with lettered balloons in one file, and the spots that can be pointed at.
type pointFigure struct {
	name          string
	content       []byte
	width, height int
	describe      string
	spots         []spot
	// right are the identifiers of the spots that are right.
	right []string
}

// spot is a circle that takes a tap, in CSS pixels of the figure.
type spot struct {
	id    string
	thing string
	label string
	x, y  float64
	r     float64
}

// figure draws a question's figure. A drawing in an item cannot load files, so
// the picture goes into it.
func (e *emitter) figure(q quizpage.Question) (*pointFigure, error) {
	source := e.quiz.Procedure.Figure(e.quiz.Questions[q.Index].Figure.ID).Source
	data, err := e.inlined(e.pictures[source])
	if err != nil {
		return nil, err
	}
	from := q.Figure
	scale := math.Min(boxWidth/from.Width, boxHeight/from.Height)
	f := &pointFigure{
		name: "figures/" + q.ID + ".svg", describe: from.Describe,
		width: int(math.Round(from.Width * scale)), height: int(math.Round(from.Height * scale)),
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 %g %g"><style>%s</style>`, f.width, f.height, from.Width, from.Height, lettered)
	fmt.Fprintf(&b, `<rect width="100%%" height="100%%" fill="#fff"/><image width="%g" height="%g" href="%s"/>`, from.Width, from.Height, data)
	b.WriteString(string(from.Drawing()))
	b.WriteString("\n</svg>\n")
	f.content = b.Bytes()
	f.place(q, scale)
	return f, nil
}

// inlined returns a picture as a data address: the smallest size that fills the box.
func (e *emitter) inlined(p *picture.Picture) (string, error) {
	size := p.Sizes[len(p.Sizes)-1]
	for _, s := range p.Sizes {
		if s.Width >= boxWidth {
			size = s
			break
		}
	}
	content, there := e.prepared[size.Path]
	kind := map[string]string{".svg": "image/svg+xml", ".png": "image/png", ".jpg": "image/jpeg"}[path.Ext(size.Path)]
	if !there || kind == "" {
		return "", fmt.Errorf("the picture %s is not there", size.Path)
	}
	return "data:" + kind + ";base64," + base64.StdEncoding.EncodeToString(content), nil
}

// place puts a spot at each balloon and at each place that it names, as large
// as a finger, but never into the half that lies nearer to another balloon's.
func (f *pointFigure) place(q quizpage.Question, scale float64) {
	for i, b := range q.Figure.Balloons {
		id := "spot-" + strconv.Itoa(i+1)
		f.spots = append(f.spots, spot{id: id, thing: b.Thing, label: b.Text, x: b.X * scale, y: b.Y * scale, r: q.Figure.Reach() * scale})
		for j, end := range b.Ends {
			f.spots = append(f.spots, spot{id: id + "-" + strconv.Itoa(j+1), thing: b.Thing, label: b.Text, x: end.X * scale, y: end.Y * scale, r: q.Figure.Reach() * scale})
		}
	}
	for i := range f.spots {
		s := &f.spots[i]
		for _, other := range f.spots {
			if other.thing != s.thing {
				s.r = math.Max(math.Min(s.r, math.Hypot(other.x-s.x, other.y-s.y)/2), 1)
			}
		}
	}
	for _, t := range q.Targets {
		for _, s := range f.spots {
			if t.Right && s.thing == t.Thing {
				f.right = append(f.right, s.id)
			}
		}
	}
}

// interaction writes the figure with its spots.
func (f *pointFigure) interaction(d *document) {
	d.start("qti-hotspot-interaction", "response-identifier", "RESPONSE", "max-choices", "1")
	d.line()
	d.empty("img", "src", "../"+f.name, "width", strconv.Itoa(f.width), "height", strconv.Itoa(f.height), "alt", f.describe)
	for _, s := range f.spots {
		d.empty("qti-hotspot-choice", "identifier", s.id, "shape", "circle", "coords", fmt.Sprintf("%.0f,%.0f,%.0f", s.x, s.y, math.Floor(s.r)), "hotspot-label", s.label)
	}
	d.end(1)
}
