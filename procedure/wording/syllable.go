package wording

import (
	"strings"
	"unicode"
)

// Syllables counts the syllables of an English word, at least 1. Figures,
// symbols, unit symbols and abbreviations in capitals count as one; a
// hyphenated word is the sum of its parts. English spelling does not settle
// every word: of the commonest words about one in forty is off by one.
//
// Source: Flesch's counting rules, by a public copy: of two pronunciations the
// one with fewer syllables. The spelling rules are ours.
func Syllables(word string) int {
	if !strings.ContainsAny(word, "-‐/") {
		return syllablesOf(word)
	}
	sum := 0
	for _, part := range strings.FieldsFunc(word, func(r rune) bool { return r == '-' || r == '‐' || r == '/' }) {
		sum += syllablesOf(part)
	}
	return max(sum, 1)
}

func syllablesOf(part string) int {
	part = strings.TrimFunc(part, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	letters := part
	if strings.ContainsAny(part, "'’") {
		letters = strings.ReplaceAll(strings.ReplaceAll(part, "'", ""), "’", "")
	}
	if letters == "" || isSign(letters) {
		return 1
	}
	w := strings.ToLower(letters)
	if n, known := unruly[w]; known {
		return n
	}
	return max(vowelGroups(w)+hiatus(w)-silent(w), 1)
}

// isSign reports whether a word is read as one sign: with a digit, a point or
// any other character among its letters, or all in capitals.
func isSign(letters string) bool {
	capitals := true
	for _, r := range letters {
		if r > unicode.MaxASCII || !unicode.IsLetter(r) {
			return true
		}
		capitals = capitals && unicode.IsUpper(r)
	}
	return capitals && len(letters) > 1
}

func isVowel(c byte) bool {
	switch c {
	case 'a', 'e', 'i', 'o', 'u', 'y':
		return true
	}
	return false
}

// vowelAt reports whether the letter at i is a vowel; y is none at the start of a word.
func vowelAt(w string, i int) bool {
	return i >= 0 && i < len(w) && isVowel(w[i]) && (i > 0 || w[i] != 'y')
}

// vowelGroups counts runs of vowels.
func vowelGroups(w string) int {
	n := 0
	for i := range len(w) {
		if vowelAt(w, i) && !vowelAt(w, i-1) {
			n++
		}
	}
	return n
}

// apart lists pairs of vowels that are spoken apart unless one of the letters
// before them joins them: "i-o" in "period", not in "motion".
var apart = []struct{ pair, joinedAfter string }{
	{"ia", "ctsgl"}, {"io", "ctsgxnl"}, {"iu", "c"}, {"ient", "ctnl"}, {"ienc", "ctsn"}, {"iet", ""},
	{"eo", "gpcy"}, {"eum", ""}, {"ual", "qg"}, {"uat", "q"}, {"uou", "q"}, {"uen", "q"}, {"uel", "qg"},
}

// hiatus counts the places within runs of vowels where a new syllable starts,
// and the syllables that no vowel letter shows.
func hiatus(w string) int {
	n := 0
	for i := 1; i+1 < len(w); i++ {
		if !isVowel(w[i]) || !isVowel(w[i+1]) || vowelAt(w, i-1) {
			continue // all pairs begin with two vowels
		}
		for _, a := range apart {
			if strings.HasPrefix(w[i:], a.pair) && strings.IndexByte(a.joinedAfter, w[i-1]) < 0 {
				n++
			}
		}
	}
	for _, part := range []string{"ciat", "tiat", "liab", "lianc", "pliant", "clien"} { // "associate", "reliable"
		if strings.Contains(w, part) {
			n++
		}
	}
	for i := 2; i+1 < len(w); i++ { // "layer", "royal", not "played"
		if w[i] == 'y' && vowelAt(w, i-1) && vowelAt(w, i+1) && w[i:] != "yed" && !strings.HasPrefix(w[i:], "ying") {
			n++
		}
	}
	stem := strings.TrimSuffix(w, "s")
	if s, ok := strings.CutSuffix(stem, "ing"); ok && vowelAt(s, len(s)-1) { // "going", "drying"
		n++
	}
	for _, end := range []string{"ier", "iest"} { // "heavier", not "pier"
		if s, ok := strings.CutSuffix(stem, end); ok && vowelGroups(s) > 0 {
			n++
		}
	}
	if strings.HasSuffix(stem, "sm") || strings.HasSuffix(stem, "thm") { // "mechanism"
		n++
	}
	if s, ok := strings.CutSuffix(w, "nt"); ok && len(s) > 1 && (s[len(s)-1] == 'd' || s[len(s)-1] == 's') { // "didn't"
		n++
	}
	for _, start := range []string{"reass", "reatt", "reapp", "realig", "rearr", "reus", "reest", "reexa", "reins", "reint", "react", "preass", "create", "creati", "creato", "scien"} {
		if strings.HasPrefix(w, start) {
			n++
		}
	}
	return n
}

// silent counts the vowel groups that are written and not spoken.
func silent(w string) int {
	n := 0
	groups := vowelGroups(w)
	switch {
	case endsSilently(w, "e", ""):
		n++
	case endsSilently(w, "es", "sxzcg") && !strings.HasSuffix(w, "ches") && !strings.HasSuffix(w, "shes"):
		n++
	case endsSilently(w, "ed", "td"):
		n++
	}
	stem := strings.TrimSuffix(w, "s")
	if strings.HasSuffix(stem, "que") || strings.HasSuffix(stem, "gue") { // "torque"
		n++
	}
	if strings.HasSuffix(w, "ically") {
		n++
	}
	if silentInside(w) {
		n++
	}
	return min(n, groups-1)
}

// silentInside reports whether a silent e stands before a suffix ("safely",
// "movement") or ends the first part of a compound ("baseplate").
func silentInside(w string) bool {
	for _, end := range []string{"ely", "ement", "ements", "eless", "eful", "efully", "eness"} {
		s, ok := strings.CutSuffix(w, end)
		if ok && s != "" && !isVowel(s[len(s)-1]) && vowelGroups(s) > 0 && !(s[len(s)-1] == 'l' && strings.HasPrefix(end, "ement")) {
			return true
		}
	}
	for _, start := range silentStarts {
		if rest, ok := strings.CutPrefix(w, start); ok && len(rest) > 3 && !isVowel(rest[0]) {
			return true
		}
	}
	return false
}

// silentStarts are first parts of compounds that end in a silent e.
var silentStarts = []string{
	"some", "there", "where", "fore", "like", "note", "file", "name", "frame", "guide", "edge", "wide", "whole", "else",
	"wire", "side", "base", "fire", "hose", "house", "safe", "life", "line", "time", "home", "spare", "pipe", "face", "hole",
	"tape", "stone", "bore", "grease", "gauge", "plate", "wave", "space", "care", "tube", "nose", "close", "cone", "more", "eye",
}

// endsSilently reports whether the e of an ending is silent: after a consonant,
// but none of those that need it, and not after a consonant with l ("handle").
func endsSilently(w, end, needed string) bool {
	s, ok := strings.CutSuffix(w, end)
	if !ok || s == "" {
		return false
	}
	last := s[len(s)-1]
	if vowelAt(s, len(s)-1) || strings.IndexByte(needed, last) >= 0 {
		return false
	}
	syllabic := last == 'l' && len(s) > 1 && !isVowel(s[len(s)-2]) && s[len(s)-2] != 'l'
	return !syllabic
}
