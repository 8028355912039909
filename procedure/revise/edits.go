package revise

import (
	"cmp"
	"slices"

	"matchmark/procedure/rewrite"
)

// Edits returns what changes in the sources when the revised estimates are
// written into them, by file and place. Steps without a time attribute have no edit.
func (r Report) Edits() []rewrite.Edit {
	var out []rewrite.Edit
	for _, v := range r.Revisions {
		if v.Changed && v.Writable {
			out = append(out, rewrite.Edit{Span: v.Old.Span, Text: v.Value})
		}
	}
	slices.SortStableFunc(out, func(a, b rewrite.Edit) int {
		return cmp.Or(cmp.Compare(a.Span.File.Name, b.Span.File.Name), cmp.Compare(a.Span.Start, b.Span.Start))
	})
	return out
}
