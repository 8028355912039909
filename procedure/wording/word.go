package wording

import (
	"iter"
	"strings"
	"unicode"
)

// Words finds the words of a text, without the punctuation around them. A
// contraction, a hyphenated word, an abbreviation, a figure and a symbol are one
// word each.
//
// Source: Flesch's counting rules, by a public copy.
func Words(text string) iter.Seq[Range] {
	return func(yield func(Range) bool) {
		start := -1
		for i, r := range text {
			switch {
			case r > ' ' && r < unicode.MaxASCII:
				if start < 0 {
					start = i
				}
			case unicode.IsSpace(r) || r == '—' || r == '…':
				if start >= 0 {
					if w := bare(text, start, i); w.Start < w.End && !yield(w) {
						return
					}
				}
				start = -1
			case start < 0:
				start = i
			}
		}
		if start >= 0 {
			if w := bare(text, start, len(text)); w.Start < w.End {
				yield(w)
			}
		}
	}
}

// bare takes the punctuation off both ends of a word; what is nothing but
// punctuation becomes empty.
func bare(text string, start, end int) Range {
	word := text[start:end]
	if plainLetter(word[0]) && plainLetter(word[len(word)-1]) {
		return Range{start, end}
	}
	left := len(word) - len(strings.TrimLeftFunc(word, isPunctuation))
	if left == len(word) {
		return Range{}
	}
	return Range{start + left, start + len(strings.TrimRightFunc(word, isPunctuation))}
}

func plainLetter(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9'
}

// isWordRune reports whether a character makes a word of what it stands in.
func isWordRune(r rune) bool {
	if r <= unicode.MaxASCII {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("%&+=<>", r)
	}
	return unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("×±°²³≤≥", r)
}

func isPunctuation(r rune) bool { return !isWordRune(r) }

// Vocabulary is what is known of the words of a text: a procedure uses few words,
// and those often. The zero value knows none; it is for one goroutine at a time.
type Vocabulary struct {
	terms map[string]term
	// The words of the paragraph that is looked at, and the same in lower case.
	words []Range
	lower []string
}

// term is what is known of a word.
type term struct {
	lower     string
	syllables int
}

func (v *Vocabulary) term(word string) term {
	t, known := v.terms[word]
	if !known {
		if v.terms == nil {
			v.terms = map[string]term{}
		}
		t = term{strings.ToLower(word), Syllables(word)}
		v.terms[word] = t
	}
	return t
}

// sentence is a sentence with its words, as the advice looks at it.
type sentence struct {
	Range
	text  string  // of the whole paragraph
	words []Range // places in text
	lower []string
}

// look takes in the words of a paragraph.
func (v *Vocabulary) look(text string) {
	v.words, v.lower = v.words[:0], v.lower[:0]
	for w := range Words(text) {
		v.words = append(v.words, w)
		v.lower = append(v.lower, v.term(text[w.Start:w.End]).lower)
	}
}

// sentence returns a sentence of the paragraph looked at, whose first word is given. It holds until the next look.
func (v *Vocabulary) sentence(text string, r Range, first int) sentence {
	end := first
	for end < len(v.words) && v.words[end].Start < r.End {
		end++
	}
	return sentence{Range: r, text: text, words: v.words[first:end], lower: v.lower[first:end]}
}

// gap returns what stands between a word and the one before it.
func (s sentence) gap(i int) string { return s.text[s.words[i-1].End:s.words[i].Start] }
