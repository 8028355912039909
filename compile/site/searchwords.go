package site

import (
	"bytes"
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// wordLists say for each word which groups of documents have it.
type wordLists struct {
	groups int
	words  map[string][]byte // a bit for each group
}

func newWordLists(groups int) *wordLists {
	return &wordLists{groups: groups, words: map[string][]byte{}}
}

func (l *wordLists) add(word []byte, group int) {
	set, ok := l.words[string(word)]
	if !ok {
		set = make([]byte, (l.groups+7)/8)
		l.words[string(word)] = set
	}
	set[group/8] |= 1 << (group % 8)
}

// write hands on the lists, each with the letters that its words begin with, and returns
// these keys in order. A key that ends in a space is of the one word before the space.
func (l *wordLists) write(list func(key string, words json.RawMessage) error) ([]string, error) {
	keys := []string{}
	var cut func(key string, words []string) error
	cut = func(key string, words []string) error {
		text := l.list(words)
		if len(text) <= listSize || strings.HasSuffix(key, " ") {
			keys = append(keys, key)
			return list(key, text)
		}
		for len(words) > 0 {
			next := nextKey(key, words[0])
			n := 1
			for n < len(words) && nextKey(key, words[n]) == next {
				n++
			}
			if err := cut(next, words[:n]); err != nil {
				return err
			}
			words = words[n:]
		}
		return nil
	}
	err := cut("", slices.Sorted(maps.Keys(l.words)))
	return keys, err
}

// nextKey is the key with one more letter of a word that begins with it.
func nextKey(key, word string) string {
	if word == key {
		return key + " "
	}
	_, size := utf8.DecodeRuneInString(word[len(key):])
	return word[:len(key)+size]
}

// list writes the words with their groups: {"bolt":[0,7],"mixer":"ff3"}.
func (l *wordLists) list(words []string) json.RawMessage {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, word := range words {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(`"` + word + `":`) // letters and digits only
		b.Write(groupsText(l.words[word]))
	}
	b.WriteByte('}')
	return b.Bytes()
}

// groupsText writes a set of groups in the shorter of two ways: the numbers, or a
// hexadecimal digit for every four groups, the first group its lowest bit.
func groupsText(set []byte) []byte {
	var numbers []int
	digits := make([]byte, 0, 2*len(set)+2)
	digits = append(digits, '"')
	for i, eight := range set {
		digits = append(digits, "0123456789abcdef"[eight&15], "0123456789abcdef"[eight>>4])
		for bit := range 8 {
			if eight&(1<<bit) != 0 {
				numbers = append(numbers, 8*i+bit)
			}
		}
	}
	digits = append(bytes.TrimRight(digits, "0"), '"')
	if 2*len(numbers) > len(digits) { // the numbers cannot be shorter
		return digits
	}
	if text, err := json.Marshal(numbers); err == nil && len(text) <= len(digits) {
		return text
	}
	return digits
}

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
