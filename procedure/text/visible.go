package text

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Visible writes a text so that a terminal shows it and does nothing else: what moves the
// cursor, colours, erases or turns the direction of writing stands there as \u001b, as in JSON; a
// byte that is no text as \x9b. The characters in keep stay as they are.
// Source: ECMA-48 (C0 and C1 controls); Unicode UAX #9 (explicit directional characters).
func Visible(s, keep string) string {
	var b strings.Builder
	at := 0
	for i, r := range s {
		size := utf8.RuneLen(r)
		if broken := r == utf8.RuneError && !strings.HasPrefix(s[i:], string(utf8.RuneError)); broken {
			b.WriteString(s[at:i])
			fmt.Fprintf(&b, `\x%02x`, s[i])
			at = i + 1
		} else if !shown(r) && !strings.ContainsRune(keep, r) {
			b.WriteString(s[at:i])
			fmt.Fprintf(&b, `\u%04x`, r)
			at = i + size
		}
	}
	if at == 0 {
		return s
	}
	b.WriteString(s[at:])
	return b.String()
}

// shown reports whether a character is seen, and only that.
func shown(r rune) bool {
	return !unicode.IsControl(r) && !unicode.Is(unicode.Bidi_Control, r) && r != '\u2028' && r != '\u2029'
}
