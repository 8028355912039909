package lsp

import (
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// TestPositions counts in UTF-16 units and in bytes: each character's start and position lead to each other.
// Source of the count: Unicode 16.0, chapter 3.9, UTF-16 (Go's unicode/utf16).
func TestPositions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		src := rapid.StringOf(rapid.SampledFrom([]rune{'a', 'é', '€', '😀', '\n', '\r', '\t', '\u00a0', '\u2028'})).Draw(t, "text")
		wide, bytes := linesOf([]byte(src), true), linesOf([]byte(src), false)
		line, start := 0, 0
		for at, r := range src {
			if (r == '\n' && at > start && src[at-1] == '\r') || r == '\r' || r == '\n' {
				// within what ends a line there is no place of its own
			} else {
				want := position{line, len(utf16.Encode([]rune(src[start:at])))}
				if got := wide.position(at); got != want {
					t.Fatalf("%q: byte %d is at %v, want %v", src, at, got, want)
				}
				if got := wide.offset(want); got != at {
					t.Fatalf("%q: %v is byte %d, want %d", src, want, got, at)
				}
				if got, want := bytes.position(at), (position{line, at - start}); got != want || bytes.offset(want) != at {
					t.Fatalf("%q: byte %d is at %v, want %v", src, at, got, want)
				}
			}
			end := at + utf8.RuneLen(r)
			if r == '\n' || r == '\r' && !strings.HasPrefix(src[end:], "\n") {
				line, start = line+1, end
			}
		}
	})
}

// TestPositionsOutside: the protocol takes a place behind the end of a line for its end.
func TestPositionsOutside(t *testing.T) {
	l := linesOf([]byte("ab\r\n😀c\n"), true)
	for p, want := range map[position]int{{0, 99}: 2, {1, 1}: 4, {1, 2}: 8, {1, 99}: 9, {2, 0}: 10, {9, 9}: 10, {-1, 3}: 0, {0, -5}: 0} {
		if got := l.offset(p); got != want {
			t.Errorf("%v is byte %d, want %d", p, got, want)
		}
	}
}
