package diagnostic

import (
	"strings"
	"unicode/utf8"
)

// Nearest returns the candidate that a mistyped word most likely meant, or ""
// when none is near: at most a third of its letters may differ, two neighbours
// swapped counting as one. The first of equally near candidates wins. Words of
// one or two letters are near to nearly everything, one number is no mistyped
// other, and what is longer than longestWord was not typed: these get no candidate.
func Nearest(word string, candidates []string) string {
	near, _ := nearest(word, candidates)
	return near
}

// longestWord is the longest mistyped word in letters: the work grows with the
// square, and words come from files that anybody may have made.
const longestWord = 100

// nearest is Nearest, and how many other candidates are near as well.
func nearest(word string, candidates []string) (near string, others int) {
	if len(word) > utf8.UTFMax*longestWord {
		return "", 0
	}
	length := utf8.RuneCountInString(word)
	if length < 3 || length > longestWord || strings.Trim(word, "0123456789") == "" {
		return "", 0
	}
	most := length / 3
	best := most + 1
	seen := map[string]bool{}
	for _, c := range candidates {
		// Words differ by at least as many letters as one is longer.
		if apart := utf8.RuneCountInString(c) - length; max(apart, -apart) > most {
			continue
		}
		d := distance([]rune(word), []rune(c))
		if d > most || c == word || seen[c] {
			continue
		}
		seen[c] = true
		if d < best {
			near, best = c, d
		}
	}
	return near, max(0, len(seen)-1)
}

// slip reports whether two words differ by one slip of the pen: one letter more, less, other or
// swapped with its neighbour, or capitals only. Another number is another thing, and so is another
// short part of a name with hyphens: hose-a and hose-b. A letter more or less at an end may be a
// plural, or belong to the next word.
func slip(word, meant string) bool {
	if strings.EqualFold(word, meant) {
		return true
	}
	if distance([]rune(word), []rune(meant)) != 1 || digits(word) != digits(meant) || atEnd(word, meant) || atEnd(meant, word) {
		return false
	}
	a, b := strings.Split(word, "-"), strings.Split(meant, "-")
	if len(a) != len(b) {
		return true // the hyphen is what differs
	}
	for i := range a {
		if a[i] != b[i] && min(utf8.RuneCountInString(a[i]), utf8.RuneCountInString(b[i])) < shortestTyped {
			return false
		}
	}
	return true
}

// atEnd reports whether a word is the other with something more at one of its ends.
func atEnd(word, other string) bool {
	return strings.HasPrefix(word, other) || strings.HasSuffix(word, other)
}

// shortestTyped is how many letters a part of a name has at least in which a slip can be told from another name.
const shortestTyped = 3

// digits are the digits of a word, in their order.
func digits(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, s)
}

// distance is the optimal string alignment distance: insertions, deletions,
// substitutions and swaps of neighbours, each at cost 1.
func distance(a, b []rune) int {
	var before, last []int
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		before, last, row = last, row, make([]int, len(b)+1)
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
	}
	return row[len(b)]
}
