package site

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// eachWord calls take with every word of a text as a search compares it: without
// case and accents. search.js takes words apart in the same way. The word is good
// for the call only.
func eachWord(text string, take func(word []byte)) {
	var room [64]byte
	word := room[:0]
	folded := text
	if !ascii(text) {
		folded = unfolded.Replace(strings.Map(withoutAccents, strings.ToLower(norm.NFKD.String(strings.ToLower(text)))))
	}
	digitBefore := false
	for i, r := range folded {
		if (r == 'x' || r == 'X') && digitBefore && i+1 < len(folded) && isDigit(folded[i+1]) {
			r = ' ' // the x of M12x1.25 stands for the cross that a page shows
		}
		digitBefore = r < utf8.RuneSelf && isDigit(byte(r))
		switch {
		case 'A' <= r && r <= 'Z':
			word = append(word, byte(r)+'a'-'A')
		case unicode.IsLetter(r) || unicode.IsNumber(r):
			word = utf8.AppendRune(word, r)
		case len(word) > 0:
			take(word)
			word = word[:0]
		}
	}
	if len(word) > 0 {
		take(word)
	}
}

// unfolded are letters that do not come apart into a plain letter and an accent,
// and the sigma that ends a word.
var unfolded = strings.NewReplacer("ß", "ss", "æ", "ae", "œ", "oe", "ø", "o", "ł", "l", "đ", "d", "ı", "i", "ς", "σ")

// withoutAccents drops accents that stand by themselves.
func withoutAccents(r rune) rune {
	if r >= 0x300 && r <= 0x36f {
		return -1
	}
	return r
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }

func ascii(s string) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}
