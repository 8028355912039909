package writing

import (
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestLinesKeepTheirEnds(t *testing.T) {
	for _, c := range []struct{ name, old, text, want string }{
		{"nothing changed", "\ufeffa\r\nb\rc\n", "a\nb\nc\n", "\ufeffa\r\nb\rc\n"},
		{"a line more", "a\r\nb\r\n", "a\nx\nb\n", "a\r\nx\r\nb\r\n"},
		{"a line less", "a\r\nb\nc\r\n", "a\nc\n", "a\r\nc\r\n"},
		{"a line changed", "a\nb\r\nc\n", "a\nB\nc\n", "a\nB\nc\n"},
		{"the last end goes", "a\r\nb\r\n", "a\nb", "a\r\nb"},
		{"the last end comes", "a\r\nb", "a\nb\n", "a\r\nb\r\n"},
		{"all of it goes", "a\r\n", "", ""},
		{"an empty file", "", "a\nb\n", "a\nb\n"},
		{"empty lines", "\r\n\r\n", "\n\n\n", "\r\n\r\n\r\n"},
	} {
		if got := string(written(c.text, []byte(c.old))); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// TestWrittenIsShown: whatever the file was, it shows what was written, and a text that nobody changed leaves it byte for byte.
func TestWrittenIsShown(t *testing.T) {
	text := rapid.StringOf(rapid.SampledFrom([]rune("ab\n\r\ufeff😀")))
	rapid.Check(t, func(t *rapid.T) {
		old := []byte(text.Draw(t, "old"))
		if got := string(written(shown(old), old)); got != string(old) {
			t.Fatalf("unchanged %q became %q", old, got)
		}
		now := strings.ReplaceAll(strings.TrimPrefix(text.Draw(t, "now"), mark), "\r", "")
		now = strings.TrimLeft(now, mark)
		if got := shown(written(now, old)); got != now {
			t.Fatalf("%q shows %q", now, got)
		}
	})
}

// FuzzPlaces holds places against Go's own UTF-16.
func FuzzPlaces(f *testing.F) {
	f.Add("\ufeffa\r\n😀b\r", 4)
	f.Fuzz(func(t *testing.T, src string, offset int) {
		if !utf8.ValidString(src) || offset < 0 || offset > len(src) || !utf8.ValidString(src[:offset]) {
			return
		}
		if offset > 0 && offset < len(src) && src[offset-1:offset+1] == "\r\n" || strings.HasPrefix(src, mark) && offset < len(mark) {
			return
		}
		want := len(utf16.Encode([]rune(shown([]byte(src[:offset])))))
		if got := unitsAt([]byte(src), offset); got != want {
			t.Fatalf("byte %d of %q is at %d, want %d", offset, src, got, want)
		}
		if got := byteAt([]byte(src), want); got != offset && !(offset == 0 && got == len(mark)) {
			t.Fatalf("place %d of %q is byte %d, want %d", want, src, got, offset)
		}
	})
}
