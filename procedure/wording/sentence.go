// Package wording looks at the words of a procedure: how long its sentences
// are, how hard they read, and what a learner could misread. It gives advice
// with places, never faults. Syllables and advice are for English only.
package wording

import (
	"iter"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Range is a byte range of a text. End is exclusive.
type Range struct{ Start, End int }

// Sentences finds the sentences of a paragraph. One ends at a full stop,
// question mark, exclamation mark or ellipsis, with the quotes and brackets that
// follow, or at the end of the text. Points in numbers ("2.5 L") and in
// abbreviations ("e.g.", "approx.") end none.
func Sentences(text string) iter.Seq[Range] { return pieces(text, endsSentence) }

// units finds what Flesch counts as sentences: units of thought that are marked
// off by a full stop, colon, semicolon, dash, question or exclamation mark.
func units(text string) iter.Seq[Range] {
	return pieces(text, func(text string, at, size int) bool {
		switch r, _ := utf8.DecodeRuneInString(text[at:]); r {
		case ':', ';':
			return followedBySpace(text, at+size)
		case '—':
			return true
		case '–':
			return followedBySpace(text, at+size) && at > 0 && text[at-1] == ' '
		}
		return endsSentence(text, at, size)
	})
}

// pieces cuts a text after each place where ends says so, and drops pieces without a word.
func pieces(text string, ends func(text string, at, size int) bool) iter.Seq[Range] {
	return func(yield func(Range) bool) {
		start := 0
		for at := 0; at < len(text); {
			if c := text[at]; c == ' ' || c == ',' || plainLetter(c) {
				at++ // none of these ends anything
				continue
			}
			_, size := utf8.DecodeRuneInString(text[at:])
			at += size
			if !ends(text, at-size, size) {
				continue
			}
			at = pastClosers(text, at)
			if r, ok := piece(text, start, at); ok && !yield(r) {
				return
			}
			start = at
		}
		if r, ok := piece(text, start, len(text)); ok {
			yield(r)
		}
	}
}

// piece takes the white space off both ends of a range; ok is false when no word is left.
func piece(text string, start, end int) (r Range, ok bool) {
	start = end - len(strings.TrimLeftFunc(text[start:end], unicode.IsSpace))
	words := strings.TrimRightFunc(text[start:end], unicode.IsSpace)
	return Range{start, start + len(words)}, strings.ContainsFunc(words, isWordRune)
}

// closers may follow the mark that ends a sentence and still belong to it.
const closers = `.!?…"'”’)]»`

func pastClosers(text string, at int) int {
	for at < len(text) {
		r, size := utf8.DecodeRuneInString(text[at:])
		if !strings.ContainsRune(closers, r) {
			break
		}
		at += size
	}
	return at
}

func endsSentence(text string, at, size int) bool {
	r, _ := utf8.DecodeRuneInString(text[at:])
	if !strings.ContainsRune(".!?…", r) {
		return false
	}
	if before, _ := utf8.DecodeLastRuneInString(text[:at]); strings.ContainsRune(".!?…", before) {
		return false // the first mark of a run has settled it
	}
	after := pastClosers(text, at+size)
	if !followedBySpace(text, after) {
		return false
	}
	next, _ := utf8.DecodeRuneInString(strings.TrimLeftFunc(text[after:], unicode.IsSpace))
	if after >= len(text) || next == utf8.RuneError {
		return true
	}
	if r == '!' || r == '?' {
		return !unicode.IsLower(next)
	}
	if unicode.IsLower(next) {
		return false
	}
	if r == '.' {
		switch kind := abbreviations[strings.ToLower(wordBefore(text, at))]; {
		case kind == midSentence:
			return false
		case kind == eitherPlace:
			return unicode.IsUpper(next)
		}
	}
	return true
}

func followedBySpace(text string, at int) bool {
	if at >= len(text) {
		return true
	}
	r, _ := utf8.DecodeRuneInString(text[at:])
	return unicode.IsSpace(r)
}

// wordBefore returns the letters and inner points right before the point at at: "e.g" of "e.g.".
func wordBefore(text string, at int) string {
	start := at
	for start > 0 {
		r, size := utf8.DecodeLastRuneInString(text[:start])
		if !unicode.IsLetter(r) && r != '.' {
			break
		}
		start -= size
	}
	return text[start:at]
}

// abbreviation says where in a sentence an abbreviation with a point stands.
type abbreviation int

const (
	midSentence abbreviation = iota + 1 // something always follows it
	eitherPlace                         // it may end a sentence: a capital after it starts the next
)

var abbreviations = map[string]abbreviation{
	"e.g": midSentence, "i.e": midSentence, "approx": midSentence, "ca": midSentence, "cf": midSentence, "vs": midSentence,
	"fig": midSentence, "figs": midSentence, "nos": midSentence, "dia": midSentence, "incl": midSentence, "excl": midSentence,
	"resp": midSentence, "sect": midSentence, "pp": midSentence, "vol": midSentence, "mr": midSentence, "mrs": midSentence, "dr": midSentence,
	"etc": eitherPlace, "min": eitherPlace, "max": eitherPlace, "temp": eitherPlace, "qty": eitherPlace, "in": eitherPlace, "ft": eitherPlace, "hrs": eitherPlace,
}
