package record

import (
	"testing"

	"pgregory.net/rapid"

	"matchmark/procedure/text"
)

// TestPlaces holds the running count against the file's own way of counting.
func TestPlaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pieces := rapid.SliceOf(rapid.SampledFrom([]string{"a", "é", "🔩", "\n", "\r\n", "{", `"`})).Draw(t, "pieces")
		source := ""
		for _, p := range pieces {
			source += p
		}
		if rapid.Bool().Draw(t, "mark") {
			source = "\xef\xbb\xbf" + source
		}
		file := text.NewFile("", []byte(source))
		p := places{file: file}
		for offset := range source { // the start of each character
			if rapid.Bool().Draw(t, "asked") {
				want := file.Position(offset)
				if line, column := p.at(offset); line != want.Line || column != want.Column {
					t.Fatalf("byte %d of %q: %d:%d, want %d:%d", offset, source, line, column, want.Line, want.Column)
				}
			}
		}
	})
}
