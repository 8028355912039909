// Package balloon moves the balloons of a figure in the source that they are written in.
package balloon

import (
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/text"
)

// Why a balloon cannot be moved.
var (
	// ErrChanged: the source does not say what it said when the author looked.
	ErrChanged = errors.New("the source does not have the balloon there")
	// ErrByHand: the line is written in a way that only a person should change.
	ErrByHand = errors.New("the balloon is written in a way that is not changed from here")
	// ErrNoPoint: the new place is not two numbers.
	ErrNoPoint = errors.New("the new place is not a point such as 120,80")
	// ErrOutside: the new place is not in the picture.
	ErrOutside = errors.New("the new place lies outside the picture")
)

// Move puts one point of a balloon somewhere else.
type Move struct {
	// Thing is the fastener or part that the balloon names; Which tells balloons
	// of one thing in one figure apart, from 0 in the author's order.
	Thing string
	Which int
	// Point is 0 for the balloon itself, 1 and up for what its leaders end on.
	Point int
	// From is what the source says, letter for letter; To is what it is to say.
	From, To string
}

// Edit returns what to change in the source of a figure: the two numbers of the
// point and nothing else. The figure must know its picture's size.
//
// The error is one of this package's, ready for errors.Is.
func (m Move) Edit(f *procedure.Figure) (rewrite.Edit, error) {
	var none rewrite.Edit
	to, ok := parse(m.To)
	if !ok {
		return none, ErrNoPoint
	}
	if to.X > f.Width || to.Y > f.Height {
		return none, ErrOutside
	}
	b := m.find(f)
	if b == nil {
		return none, ErrChanged
	}
	points, err := Points(*b)
	if err != nil {
		return none, err
	}
	if m.Point < 0 || m.Point >= len(points) || points[m.Point].Text() != m.From {
		return none, ErrChanged
	}
	return rewrite.Edit{Span: points[m.Point], Text: m.To}, nil
}

func (m Move) find(f *procedure.Figure) *procedure.Balloon {
	which := m.Which
	for i := range f.Balloons {
		b := &f.Balloons[i]
		if b.Ref.ID != m.Thing {
			continue
		}
		if which == 0 {
			return b
		}
		which--
	}
	return nil
}

// Points returns where the source writes a balloon's own point, and then those that
// its leaders end on. Balloons in a row have the point of the first, which has the leader. It is ErrByHand when the words there are not the plain
// ones of a balloon, for example because one is emphasised.
func Points(b procedure.Balloon) ([]text.Span, error) {
	words := wordsOf(b.Span)
	last := len(words) - 1
	at := slices.IndexFunc(words, func(w text.Span) bool { return w.Text() == "at" })
	if at < 1 || last < at+3 || words[last-1].Text() != "balloon" {
		return nil, ErrByHand
	}
	names := text.Span{File: b.Span.File, Start: words[0].Start, End: words[at-1].End}
	if strings.ContainsAny(names.Text(), "*_`\\<&") || b.Ref.Span.Start < names.Start || b.Ref.Span.End > names.End {
		return nil, ErrByHand
	}
	points := []text.Span{words[last]}
	if b.Beside == 0 {
		points = append(points, words[at+1:last-1]...)
	}
	if len(points) != len(b.Targets)+1 {
		return nil, ErrByHand
	}
	for i, p := range append([]procedure.Point{b.Label}, b.Targets...) {
		x, y, _ := strings.Cut(points[i].Text(), ",")
		a, errX := strconv.ParseFloat(x, 64)
		b, errY := strconv.ParseFloat(y, 64)
		if errX != nil || errY != nil || a != p.X || b != p.Y {
			return nil, ErrByHand
		}
	}
	return points, nil
}

var (
	comment = regexp.MustCompile(`(?s)<!--.*?-->`)
	word    = regexp.MustCompile(`\S+`)
	plain   = regexp.MustCompile(`^[0-9]{1,6}(\.[0-9]{1,3})?,[0-9]{1,6}(\.[0-9]{1,3})?$`)
)

// wordsOf returns the words of a place without the author's comments among them.
func wordsOf(span text.Span) []text.Span {
	src := comment.ReplaceAllStringFunc(span.Text(), func(s string) string { return strings.Repeat(" ", len(s)) })
	var out []text.Span
	for _, at := range word.FindAllStringIndex(src, -1) {
		out = append(out, span.Sub(at[0], at[1]))
	}
	return out
}

// parse reads a new place; the picture's origin is its top left corner, so none is below zero.
func parse(s string) (p procedure.Point, ok bool) {
	if !plain.MatchString(s) {
		return p, false
	}
	x, y, _ := strings.Cut(s, ",")
	var errX, errY error
	p.X, errX = strconv.ParseFloat(x, 64)
	p.Y, errY = strconv.ParseFloat(y, 64)
	return p, errX == nil && errY == nil
}
