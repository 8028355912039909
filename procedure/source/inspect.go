package source

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
)

// inspected reads the list of an inspect block.
func (r *reader) inspected(b *block) []procedure.InspectionItem {
	var out []procedure.InspectionItem
	for _, item := range r.items(b) {
		head, span, accept := r.head(item)
		if accept.Empty() {
			r.report("missing-limit", span, say.That("this does not say what is acceptable"), say.That("Write a colon and the acceptable state: - Belt: no cracks."))
			continue
		}
		measured := limits(accept.Plain(), r.numbers)
		if measured == nil {
			r.unreadLimit(accept.Plain(), accept.Span)
		}
		out = append(out, procedure.InspectionItem{Look: head, Accept: accept, Limits: measured, Span: span})
	}
	if len(out) == 0 && b.node.ChildCount() == 0 {
		r.report("empty-block", b.span, say.That("this block lists nothing to look at"), say.That("Write a list: what to look at, a colon, what is acceptable."))
	}
	return out
}

// limits reads a measured range, "12 mm to 13 mm", "12-13 mm", "12.5 ± 0.5 mm", "at least 3 mm" or "at most 0.1 mm";
// nil when the words are not one.
func limits(s string, numbers measure.Reading) *procedure.Limits {
	s = strings.TrimSuffix(strings.TrimSpace(s), ".")
	if rest, ok := strings.CutPrefix(s, "at least "); ok {
		if q, err := numbers.Parse(rest); err == nil {
			return &procedure.Limits{Low: &q}
		}
		return nil
	}
	if rest, ok := strings.CutPrefix(s, "at most "); ok {
		if q, err := numbers.Parse(rest); err == nil {
			return &procedure.Limits{High: &q}
		}
		return nil
	}
	low, high, ok := numbers.ParseLimits(s)
	if !ok {
		return nil
	}
	return &procedure.Limits{Low: &low, High: &high}
}
