package source

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/say"
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
			r.report("balloon-syntax", span, say.That("a balloon takes no words"), balloonForm)
		}
		f.Balloons = append(f.Balloons, r.balloons(head, span)...)
	}
	return f
}

var balloonForm = say.That(balloonAdvice)

const balloonAdvice = "Write - 4 at 120,80 and the number is placed for you, or - 4 at 120,80 balloon 60,40 to say where it stands."

// balloons reads "4 at 120,80 340,80 balloon 60,40", or "8-10 at ..." for several in a row on one leader. Without the
// word balloon, the balloon is placed by matchmark. It points to one place then: of several points, the last may be meant
// for the balloon, with its word forgotten.
func (r *reader) balloons(head string, span text.Span) (out []procedure.Balloon) {
	words := wordsOf(head, span)
	at := slices.IndexFunc(words, func(w procedure.Ref) bool { return w.ID == "at" })
	free := !slices.ContainsFunc(words, func(w procedure.Ref) bool { return w.ID == "balloon" })
	if at < 1 || free && len(words) < at+2 || !free && (len(words) < at+4 || words[len(words)-2].ID != "balloon") {
		r.report("balloon-syntax", span, say.That("this is not a balloon"), balloonForm)
		return nil
	}
	if free && len(words) > at+2 {
		last := words[len(words)-1]
		r.report("balloon-syntax", last.Span, say.That("is this where the number stands, or one more place that it points to?"),
			say.That("Write the word balloon in front of the point where the number stands: - 4 at 120,80 balloon 60,40. Without it, a number points to one place."))
		return nil
	}
	ok := true
	point := func(w procedure.Ref) procedure.Point {
		p, good := parsePoint(w.ID)
		if !good {
			r.report("balloon-syntax", w.Span, say.That("%word is not a point", say.Quote(w.ID)), say.That("Write two numbers and a comma, without a space: 120,80."))
			ok = false
		}
		return p
	}
	first := procedure.Balloon{Ref: words[0], Free: free, Span: span}
	ends := words[at+1:]
	if !free {
		ends = words[at+1 : len(words)-2]
		first.Label = point(words[len(words)-1])
	}
	for _, w := range ends {
		first.Targets = append(first.Targets, point(w))
	}
	if !ok {
		return nil
	}
	names := text.Span{File: span.File, Start: words[0].Span.Start, End: words[at-1].Span.End}
	for n, ref := range splitRefs(lineEnds.Replace(names.Text()), names) {
		b := procedure.Balloon{Ref: ref, Label: first.Label, Beside: n, Free: free, Span: span}
		if n == 0 {
			b.Targets = first.Targets
		}
		out = append(out, b)
	}
	return out
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
