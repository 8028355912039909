package source

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// inspection reads an inspect block.
func (r *reader) inspection(b *block) *procedure.Inspection {
	out := &procedure.Inspection{Common: procedure.Common{Span: b.span}, Of: b.ref("of")}
	for _, item := range r.items(b) {
		head, span, accept := r.head(item)
		if accept.Empty() {
			r.report("missing-limit", span, "this does not say what is acceptable", "Write a colon and the acceptable state: - Belt: no cracks.")
			continue
		}
		out.Items = append(out.Items, procedure.InspectionItem{
			Look: head, Accept: accept, Limits: limits(accept.Plain()), Span: span,
		})
	}
	if len(out.Items) == 0 && b.node.ChildCount() == 0 {
		r.report("empty-block", b.span, "this block lists nothing to look at", "Write a list: what to look at, a colon, what is acceptable.")
	}
	return out
}

// limits reads a measured range, "12 mm to 13 mm", "at least 3 mm" or "at most 0.1 mm";
// nil when the words are not one.
func limits(s string) *procedure.Limits {
	s = strings.TrimSuffix(strings.TrimSpace(s), ".")
	if rest, ok := strings.CutPrefix(s, "at least "); ok {
		if q, err := measure.Parse(rest); err == nil {
			return &procedure.Limits{Low: &q}
		}
		return nil
	}
	if rest, ok := strings.CutPrefix(s, "at most "); ok {
		if q, err := measure.Parse(rest); err == nil {
			return &procedure.Limits{High: &q}
		}
		return nil
	}
	from, to, ok := strings.Cut(s, " to ")
	if !ok {
		return nil
	}
	low, errLow := measure.Parse(from)
	high, errHigh := measure.Parse(to)
	if errLow != nil || errHigh != nil || low.Dimension() != high.Dimension() || low.Compare(high) > 0 {
		return nil
	}
	return &procedure.Limits{Low: &low, High: &high}
}
