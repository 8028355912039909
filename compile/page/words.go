package page

import (
	"unicode"
	"unicode/utf8"
)

// Capitalised begins a register's words with a capital letter, to stand at the start of a line.
func Capitalised(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(first)) + s[size:]
}
