package wording

import (
	"strings"
	"unicode"
)

// Words finds the words of a text, without the punctuation around them. A
// contraction, a hyphenated word, an abbreviation, a figure and a symbol are one
// word each.
//
// Source: Flesch's counting rules, by a public copy.
func Words(text string) []Range {
	out := make([]Range, 0, len(text)/5+1)
	start := -1
	add := func(end int) {
		if start >= 0 {
			if w := bare(text, start, end); w.Start < w.End {
				out = append(out, w)
			}
		}
		start = -1
	}
	for i, r := range text {
		switch {
		case r > ' ' && r < unicode.MaxASCII:
			if start < 0 {
				start = i
			}
		case unicode.IsSpace(r) || r == '—' || r == '…':
			add(i)
		case start < 0:
			start = i
		}
	}
	add(len(text))
	return out
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

// sentence is a sentence with its words, as the advice looks at it.
type sentence struct {
	Range
	text  string  // of the whole paragraph
	words []Range // places in text
	lower []string
}

// sentences returns the sentences of a paragraph with their words.
func sentences(text string) []sentence {
	words := Words(text)
	lower := make([]string, len(words))
	for i, w := range words {
		lower[i] = strings.ToLower(text[w.Start:w.End])
	}
	var out []sentence
	next := 0
	for _, r := range Sentences(text) {
		first := next
		for next < len(words) && words[next].Start < r.End {
			next++
		}
		out = append(out, sentence{Range: r, text: text, words: words[first:next], lower: lower[first:next]})
	}
	return out
}

// gap returns what stands between a word and the one before it.
func (s sentence) gap(i int) string { return s.text[s.words[i-1].End:s.words[i].Start] }
