package diagnostic

import (
	"matchmark/procedure/text"
	"strings"
)

// Sentence writes a line of advice with a capital letter and a full stop.
func Sentence(s string) string {
	if s == "" {
		return s
	}
	s = text.Capitalised(s)
	if strings.HasSuffix(s, ".") || strings.HasSuffix(s, "?") || strings.HasSuffix(s, "!") {
		return s
	}
	return s + "."
}
