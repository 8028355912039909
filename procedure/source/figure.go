package source

import (
	"math"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/text"
)

// figure reads a figure block.
func (r *reader) figure(b *block) *procedure.Figure {
	f := &procedure.Figure{
		ID: b.argument, Title: b.title, Span: b.argumentSpan,
		Source: b.words("src"), Describe: b.words("describe"),
	}
	if v := b.get("src"); v != nil {
		f.SourceSpan = v.span
	}
	for _, item := range r.items(b) {
		head, span, tail := r.head(item)
		if !tail.Empty() {
			r.report("balloon-syntax", span, "a balloon takes no words", balloonForm)
		}
		if balloon, ok := r.balloon(head, span); ok {
			f.Balloons = append(f.Balloons, balloon)
		}
	}
	return f
}

const balloonForm = "Write: - 4 at 120,80 balloon 60,40."

// balloon reads "4 at 120,80 340,80 balloon 60,40".
func (r *reader) balloon(head string, span text.Span) (procedure.Balloon, bool) {
	words := wordsOf(head, span)
	out := procedure.Balloon{Span: span}
	if len(words) < 5 || words[1].ID != "at" || words[len(words)-2].ID != "balloon" {
		r.report("balloon-syntax", span, "this is not a balloon", balloonForm)
		return out, false
	}
	out.Ref = words[0]
	ok := true
	point := func(w procedure.Ref) procedure.Point {
		p, good := parsePoint(w.ID)
		if !good {
			r.report("balloon-syntax", w.Span, quote(w.ID)+" is not a point", "Write two numbers and a comma, without a space: 120,80.")
			ok = false
		}
		return p
	}
	for _, w := range words[2 : len(words)-2] {
		out.Targets = append(out.Targets, point(w))
	}
	out.Label = point(words[len(words)-1])
	return out, ok
}

func parsePoint(s string) (procedure.Point, bool) {
	x, y, comma := strings.Cut(s, ",")
	a, errA := strconv.ParseFloat(x, 64)
	b, errB := strconv.ParseFloat(y, 64)
	good := comma && errA == nil && errB == nil && !math.IsNaN(a) && !math.IsNaN(b) && math.Abs(a) < 1e6 && math.Abs(b) < 1e6
	return procedure.Point{X: a, Y: b}, good
}

// wordsOf splits a line into words with their places.
func wordsOf(s string, span text.Span) []procedure.Ref {
	var out []procedure.Ref
	src := span.Text()
	pos := 0
	for _, w := range strings.Fields(s) {
		at := strings.Index(src[pos:], w)
		if at < 0 {
			at = 0
		}
		out = append(out, procedure.Ref{ID: w, Span: span.Sub(pos+at, pos+at+len(w))})
		pos += at + len(w)
	}
	return out
}
