package source

import (
	"regexp"
	"strings"

	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// unreadLimit reports an acceptable state that looks like measured limits and was not read as such: the
// tablet would have no field for the reading.
func (r *reader) unreadLimit(accept string, span text.Span) {
	s := strings.TrimSuffix(strings.TrimSpace(accept), ".")
	tell := func(wrong, advice say.Text) { r.report("unread-limit", span, wrong, advice) }
	if low, high, ok := bothBounds(s, r.numbers); ok {
		if low.Dimension() != high.Dimension() {
			tell(say.That("%low is a %lowKind and %high a %highKind", say.Quote(low.String()), say.Word(low.Dimension().String()), say.Quote(high.String()), say.Word(high.Dimension().String())), say.That("Give both ends in units of one kind."))
			return
		}
		tell(say.That("nothing is at least %low and at most %high", say.Word(low.String()), say.Word(high.String())), say.That("Write the smaller one first: %from to %to.", say.Word(high.String()), say.Word(low.String())))
		return
	}
	// Before a lone number, or before a quantity, these words state a limit.
	if m := limitWords.FindStringSubmatch(s); m != nil {
		word, rest := strings.ToLower(m[1]), strings.TrimSpace(m[2])
		_, err := r.numbers.Parse(rest)
		switch known := word == "at most" || word == "at least"; {
		case loneNumber.MatchString(rest):
			tell(say.That("%limit has no unit, so nobody can write a reading beside it", say.Quote(s)), say.That("Add the unit: at most 0.15 mm."))
		case err == nil && !known:
			tell(say.That("%limit is not read as a limit", say.Quote(s)), say.That("Write `at most` or `at least` in front of the quantity."))
		case err != nil && r.quantityFirst(rest):
			r.tellMore(s, span)
		}
		return
	}
	for _, sign := range []string{" to ", "–", "—", " - ", "-"} {
		from, to, found := strings.Cut(s, sign)
		if !found {
			continue
		}
		from, to = strings.TrimSpace(from), strings.TrimSpace(to)
		high, errHigh := r.numbers.Parse(to)
		low, errLow := r.numbers.Parse(from)
		if errHigh == nil && loneNumber.MatchString(from) {
			low, errLow = r.numbers.Parse(from + " " + high.Unit())
		}
		switch {
		case loneNumber.MatchString(from) && loneNumber.MatchString(to):
			tell(say.That("%limit has no unit, so nobody can write a reading beside it", say.Quote(s)), say.That("Add the unit: 12 mm to 13 mm."))
		case errHigh != nil && errLow == nil && r.quantityFirst(to):
			r.tellMore(s, span)
		case errHigh != nil || errLow != nil:
		case low.Dimension() != high.Dimension():
			tell(say.That("%low is a %lowKind and %high a %highKind", say.Quote(from), say.Word(low.Dimension().String()), say.Quote(to), say.Word(high.Dimension().String())), say.That("Give both ends in units of one kind."))
		case low.Compare(high) > 0:
			tell(say.That("the range %limit starts with its larger end", say.Quote(s)), say.That("Write the smaller one first: %from to %to.", say.Word(to), say.Word(from)))
		default:
			tell(say.That("the range %limit is not read", say.Quote(s)), say.That("Write both ends with their units: 12 mm to 13 mm."))
		}
		return
	}
}

// tellMore says that words behind a limit keep it from being read.
func (r *reader) tellMore(limit string, span text.Span) {
	r.report("limit-words", span, say.That("%limit is not read as a limit, since more words stand behind it", say.Quote(limit)), say.That("Write the limit alone, and the rest in front of the colon: - Play, measured cold: at most 0.15 mm."))
}

// quantityFirst reports whether words begin with a quantity and go on behind it.
func (r *reader) quantityFirst(s string) bool {
	words := strings.Fields(s)
	for n := 1; n <= 2 && n < len(words); n++ {
		q := strings.TrimRight(strings.Join(words[:n], " "), ",;")
		if loneNumber.MatchString(q) {
			continue
		}
		if _, err := r.numbers.Parse(q); err == nil {
			return true
		}
	}
	return false
}

var (
	limitWords = regexp.MustCompile(`(?i)^(at most|at least|max\.?|maximum|min\.?|minimum|not more than|no more than|not less than|no less than|up to|less than|more than|under|over|below|above|höchstens|mindestens|maximal|minimal|≤|<=|<|≥|>=|>)\s*(.+)$`)
	loneNumber = regexp.MustCompile(`^[-−]?\d+(?:[.,]\d+)?$`)
)
