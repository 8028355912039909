package wording

import (
	"math"
	"strings"
)

// Counts are what the reading formulas need of an English text.
type Counts struct{ Sentences, Words, Syllables int }

// Plus returns the counts of two texts together.
func (c Counts) Plus(d Counts) Counts {
	return Counts{c.Sentences + d.Sentences, c.Words + d.Words, c.Syllables + d.Syllables}
}

// Count counts a paragraph of English.
//
// Source: Flesch's counting rules, by a public copy: a sentence is a unit of
// thought that is marked off by a full stop, colon, semicolon, dash, question or exclamation mark.
func (v *Vocabulary) Count(text string) Counts {
	v.look(text)
	c := Counts{Words: len(v.words), Syllables: v.syllables}
	for range units(text) {
		c.Sentences++
	}
	return c
}

// ReadingEase returns the Flesch reading ease: about 0 for the hardest text to
// about 100 for the easiest; 60 to 70 is plain English. It is NaN without a word.
//
//	206.835 − 1.015 · words/sentences − 84.6 · syllables/words
//
// Source: Flesch, by a page of the US Department of Veterans Affairs.
func (c Counts) ReadingEase() float64 {
	perSentence, perWord := c.averages()
	return 206.835 - 1.015*perSentence - 84.6*perWord
}

// Grade returns the Flesch-Kincaid grade: the US school years that a reader
// needs. It can be below zero. It is NaN without a word.
//
//	0.39 · words/sentences + 11.8 · syllables/words − 15.59
//
// Source: Flesch and Kincaid, by a page of the US Department of Veterans Affairs.
func (c Counts) Grade() float64 {
	perSentence, perWord := c.averages()
	return 0.39*perSentence + 11.8*perWord - 15.59
}

func (c Counts) averages() (perSentence, perWord float64) {
	if c.Words == 0 || c.Sentences == 0 {
		return math.NaN(), math.NaN()
	}
	return float64(c.Words) / float64(c.Sentences), float64(c.Syllables) / float64(c.Words)
}

// Covers reports whether the rules here are for a language: English in any of
// its regions. Texts in other languages are not scored and get no advice.
func Covers(language string) bool {
	main, _, _ := strings.Cut(language, "-")
	return strings.EqualFold(main, "en")
}
