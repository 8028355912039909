package diagnostic

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Sentence writes a line of advice with a capital letter and a full stop.
func Sentence(s string) string {
	if s == "" {
		return s
	}
	first, size := utf8.DecodeRuneInString(s)
	s = string(unicode.ToUpper(first)) + s[size:]
	if strings.HasSuffix(s, ".") || strings.HasSuffix(s, "?") || strings.HasSuffix(s, "!") {
		return s
	}
	return s + "."
}
