package source

import (
	"strconv"
	"strings"

	"golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/number"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// ands are the words that join the last two names of a list, in the languages of the words table.
var ands = []string{" and ", " und ", " & "}

// eachName yields the names in one piece of a comma-separated list, s[from:to]: a name; two that are
// joined by a word; callout numbers from one to another, "8-10". All but the first form has numbers
// or names that cannot be read otherwise. It returns false when yield does.
func eachName(s string, from, to int, span text.Span, yield func(procedure.Ref) bool) bool {
	piece := s[from:to]
	if isName(piece) || isCallout(piece) {
		return yield(procedure.Ref{ID: piece, Span: span.Sub(from, to)})
	}
	for _, and := range ands {
		if at := strings.Index(piece, and); at >= 0 {
			left, leftEnd := trim(s, from, from+at)
			right, rightEnd := trim(s, from+at+len(and), to)
			return (left == leftEnd || eachName(s, left, leftEnd, span, yield)) && (right == rightEnd || eachName(s, right, rightEnd, span, yield))
		}
	}
	if at := strings.IndexAny(piece, ";/+"); at >= 0 { // no name has such a sign
		left, leftEnd := trim(s, from, from+at)
		right, rightEnd := trim(s, from+at+1, to)
		return (left == leftEnd || eachName(s, left, leftEnd, span, yield)) && (right == rightEnd || eachName(s, right, rightEnd, span, yield))
	}
	for _, and := range ands { // "4, 5, and 6"
		if and := strings.TrimLeft(and, " "); strings.HasPrefix(piece, and) {
			left, end := trim(s, from+len(and), to)
			return left == end || eachName(s, left, end, span, yield)
		}
	}
	if first, last, ok := numberRange(piece); ok {
		for n := first; n <= last; n++ {
			if !yield(procedure.Ref{ID: strconv.Itoa(n), Span: span.Sub(from, to)}) {
				return false
			}
		}
		return true
	}
	return yield(procedure.Ref{ID: piece, Span: span.Sub(from, to)})
}

// numberRange reads callout numbers from one to another: "8-10", with a hyphen or a dash.
func numberRange(s string) (first, last int, ok bool) {
	if s == "" || s[0] < '0' || s[0] > '9' {
		return 0, 0, false
	}
	for _, dash := range []string{"-", "–", "—"} {
		a, b, found := strings.Cut(s, dash)
		if a, b = strings.TrimSpace(a), strings.TrimSpace(b); !found || !isCallout(a) || !isCallout(b) {
			continue
		}
		first, _ = strconv.Atoi(a)
		last, _ = strconv.Atoi(b)
		return first, last, first < last
	}
	return 0, 0, false
}

// numbersIn says how numbers are written in a language.
//
// Source: Unicode CLDR, the decimal sign of each language, by golang.org/x/text.
func numbersIn(tag string) measure.Reading {
	t, err := language.Parse(tag)
	if err != nil {
		return measure.Reading{}
	}
	return measure.Reading{Comma: strings.Contains(message.NewPrinter(t).Sprint(number.Decimal(0.5)), ",")}
}
