package revise

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

// Edits returns what changes in the sources when the revised estimates are
// written into them, by file and place. Steps without a time attribute have no edit.
func (r Report) Edits() []Edit {
	var out []Edit
	for _, v := range r.Revisions {
		if v.Changed && v.Writable {
			out = append(out, Edit{v.Old.Span, v.Value})
		}
	}
	slices.SortStableFunc(out, func(a, b Edit) int {
		return cmp.Or(cmp.Compare(a.Span.File.Name, b.Span.File.Name), cmp.Compare(a.Span.Start, b.Span.Start))
	})
	return out
}

// Rewritten is a source file with its edits made.
type Rewritten struct {
	File   *text.File
	Source []byte
}

// Rewrite makes edits in the files that they belong to and returns those files, by
// name. Nothing but the edited places changes: line endings, a byte-order mark and
// all else stay byte for byte. The error is about edits that overlap or lie outside their file.
//
// The files themselves are not touched. Before one is written, compare what is on
// disk with File.Source: somebody may have changed it since it was read.
func Rewrite(edits []Edit) ([]Rewritten, error) {
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
	var out []Rewritten
	for _, f := range files {
		source, err := apply(f, byFile[f])
		if err != nil {
			return nil, err
		}
		out = append(out, Rewritten{f, source})
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
