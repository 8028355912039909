package source

import (
	"regexp"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
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
		r.twoUnits(measured, accept.Span)
		out = append(out, procedure.InspectionItem{Look: head, Accept: accept, Limits: measured, Span: span})
	}
	if len(out) == 0 && b.node.ChildCount() == 0 {
		r.report("empty-block", b.span, say.That("this block lists nothing to look at"), say.That("Write a list: what to look at, a colon, what is acceptable."))
	}
	return out
}

// limits reads a measured range, "12 mm to 13 mm", "12-13 mm", "12.5 ± 0.5 mm", "at least 3 mm", "at most 0.1 mm" or both;
// nil when the words are not one.
func limits(s string, numbers measure.Reading) *procedure.Limits {
	s = strings.TrimSuffix(strings.TrimSpace(s), ".")
	if low, high, ok := bothBounds(s, numbers); ok {
		if low.Dimension() != high.Dimension() || low.Compare(high) > 0 {
			return nil
		}
		return &procedure.Limits{Low: &low, High: &high}
	}
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

// bothBounds reads two bounds, "at least 3 mm, at most 5 mm", in either order.
func bothBounds(s string, numbers measure.Reading) (low, high measure.Quantity, ok bool) {
	m := twoBounds.FindStringSubmatch(s)
	if m == nil || m[1] == m[3] {
		return low, high, false
	}
	first, err := numbers.Parse(m[2])
	if err != nil {
		return low, high, false
	}
	second, err := numbers.Parse(m[4])
	if err != nil {
		return low, high, false
	}
	if m[1] == "least" {
		return first, second, true
	}
	return second, first, true
}

var twoBounds = regexp.MustCompile(`^at (least|most) (.+?)(?:,? and |, )at (least|most) (.+)$`)

// twoUnits reports limits whose ends stand in two units: nobody sees which of them is the larger one, nor in which of them to
// write down a reading.
func (r *reader) twoUnits(l *procedure.Limits, span text.Span) {
	if l == nil || l.Low == nil || l.High == nil || l.Low.Unit() == l.High.Unit() {
		return
	}
	r.report("two-units", span, say.That("the limits stand in two units, %low and %high", say.Word(l.Low.String()), say.Word(l.High.String())), say.That("Write both ends in one unit; pages convert it."))
}
