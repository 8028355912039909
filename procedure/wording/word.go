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
	// The paragraph that is looked at: its words, the same in lower case, what they may do, and how many syllables they have.
	text      string
	words     []Range
	lower     []string
	uses      []use
	syllables int
}

// term is what is known of a word.
type term struct {
	lower     string
	syllables int
	uses      use
}

// use is a set of things that a word may do in a sentence, as the rules look at it.
type use uint8

const (
	obliges     use = 1 << iota // "must"
	is                          // "is", "were"
	owes                        // "needs"
	commands                    // an imperative
	subordinate                 // starts a clause about something else
	vagueStart                  // starts a wording of the table
)

// usesOf leads from a word in lower case to what it may do.
var usesOf = func() map[string]use {
	m := map[string]use{}
	for _, of := range []struct {
		use   use
		words map[string]bool
	}{{obliges, obligations}, {is, beings}, {owes, owing}, {commands, imperatives}, {subordinate, subordinates}} {
		for w := range of.words {
			m[w] |= of.use
		}
	}
	for w := range phrases {
		m[w] |= vagueStart
	}
	return m
}()

// usualTerms is how many words a procedure has room for from the start.
const usualTerms = 128

func (v *Vocabulary) term(word string) term {
	t, known := v.terms[word]
	if !known {
		if v.terms == nil {
			v.terms = make(map[string]term, usualTerms)
		}
		lower := strings.ToLower(word)
		t = term{lower, Syllables(word), usesOf[lower]}
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
	uses  []use
}

// may reports whether the i-th word may do one of the things.
func (s sentence) may(i int, do use) bool { return s.uses[i]&do != 0 }

// look takes in the words of a paragraph, unless it is the one that was looked at last.
func (v *Vocabulary) look(text string) {
	if v.text == text {
		return
	}
	v.text, v.syllables = text, 0
	v.words, v.lower, v.uses = v.words[:0], v.lower[:0], v.uses[:0]
	for w := range Words(text) {
		t := v.term(text[w.Start:w.End])
		v.words, v.lower, v.uses = append(v.words, w), append(v.lower, t.lower), append(v.uses, t.uses)
		v.syllables += t.syllables
	}
}

// sentence returns a sentence of the paragraph looked at, whose first word is given. It holds until the next look.
func (v *Vocabulary) sentence(text string, r Range, first int) sentence {
	end := first
	for end < len(v.words) && v.words[end].Start < r.End {
		end++
	}
	return sentence{Range: r, text: text, words: v.words[first:end], lower: v.lower[first:end], uses: v.uses[first:end]}
}

// gap returns what stands between a word and the one before it.
func (s sentence) gap(i int) string { return s.text[s.words[i-1].End:s.words[i].Start] }
