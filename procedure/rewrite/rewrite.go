// Package rewrite writes into an author's own files: it replaces single places of
// a source and leaves every other byte as it is, and it puts the new file in the
// old one's place in one go.
package rewrite

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"

	"matchmark/procedure/text"
)

// Edit replaces one place of a source file.
type Edit struct {
	Span text.Span
	// Text stands there afterwards.
	Text string
}

// File is a source file with its edits made.
type File struct {
	// Old is the file as it was read.
	Old    *text.File
	Source []byte
}

// Make makes edits in the files that they belong to and returns those files, by
// name. Nothing but the edited places changes: line endings, a byte-order mark and
// all else stay byte for byte. The error is about edits that overlap or lie outside their file.
//
// The files themselves are not touched; Replace does that.
func Make(edits []Edit) ([]File, error) {
	byFile := map[*text.File][]Edit{}
	var files []*text.File
	for _, e := range edits {
		if !e.Span.Valid() {
			return nil, fmt.Errorf("the edit to %q has no place", e.Text)
		}
		if byFile[e.Span.File] == nil {
			files = append(files, e.Span.File)
		}
		byFile[e.Span.File] = append(byFile[e.Span.File], e)
	}
	slices.SortFunc(files, func(a, b *text.File) int { return cmp.Compare(a.Name, b.Name) })
	var out []File
	for _, f := range files {
		source, err := apply(f, byFile[f])
		if err != nil {
			return nil, err
		}
		out = append(out, File{f, source})
	}
	return out, nil
}

func apply(f *text.File, edits []Edit) ([]byte, error) {
	slices.SortFunc(edits, func(a, b Edit) int { return cmp.Compare(a.Span.Start, b.Span.Start) })
	var out bytes.Buffer
	at := 0
	for _, e := range edits {
		if e.Span.Start < at || e.Span.End < e.Span.Start || e.Span.End > len(f.Source) {
			return nil, fmt.Errorf("%s: the edit to %q at line %d lies outside the file or over another", f.Name, e.Text, f.Position(e.Span.Start).Line)
		}
		out.Write(f.Source[at:e.Span.Start])
		out.WriteString(e.Text)
		at = e.Span.End
	}
	out.Write(f.Source[at:])
	return out.Bytes(), nil
}
