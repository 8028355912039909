package diagnostic

import (
	"strings"
	"unicode/utf8"
)

// Nearest returns the candidate that a mistyped word most likely meant, or ""
// when none is near: at most a third of its letters may differ, two neighbours
// swapped counting as one. The first of equally near candidates wins. Words of
// one or two letters are near to nearly everything, and one number is no
// mistyped other: these get no candidate.
func Nearest(word string, candidates []string) string {
	length := utf8.RuneCountInString(word)
	if length < 3 || strings.Trim(word, "0123456789") == "" {
		return ""
	}
	best, bestDistance := "", 1+length/3
	for _, c := range candidates {
		if d := distance([]rune(word), []rune(c)); d < bestDistance && c != word {
			best, bestDistance = c, d
		}
	}
	return best
}

// Suggest returns "Did you mean ...?" when a candidate is near the word, else the other advice.
func Suggest(word string, candidates []string, otherwise string) string {
	if near := Nearest(word, candidates); near != "" {
		return `Did you mean "` + near + `"?`
	}
	return otherwise
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
