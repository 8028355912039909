package text

import (
	"unicode"
	"unicode/utf8"
)

// Capitalised returns the words with a capital letter at their start.
func Capitalised(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(first)) + s[size:]
}
