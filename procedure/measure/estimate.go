package measure

import (
	"math/big"
	"strings"

	"matchmark/procedure/say"
)

// ParseEstimate reads the time of a step: optimistic, most likely and
// pessimistic as "4/6/10", or one value for all three. The unit comes last and
// covers all of them ("0.5/1/2 h"); without one they are minutes. The result is
// in minutes, with 0 ≤ a ≤ m ≤ b. Every error is a *ParseError.
func ParseEstimate(s string) (a, m, b float64, err error) { return Reading{}.ParseEstimate(s) }

// ParseEstimate is the package's ParseEstimate for numbers that are written like this.
func (r Reading) ParseEstimate(s string) (a, m, b float64, err error) {
	if a, m, b, ok := wholeMinutes(s); ok {
		return a, m, b, nil
	}
	start, end := trimmed(s)
	parts := strings.Split(s[start:end], "/")
	if len(parts) == 2 && start < end {
		if q, err := r.parse(s[start:end], ""); err == nil && q.Dimension() == Time && q.Sign() >= 0 { // 1 1/2 h
			m, _ = q.base.Float64()
			return m, m, m, nil
		}
	}
	if len(parts) != 1 && len(parts) != 3 {
		return 0, 0, 0, wrong(s, start, end, say.That("a time has one value or three, and this one has %parts", say.Count(len(parts))),
			say.That("Write optimistic/most likely/pessimistic in minutes, such as 4/6/10, or one value."), "")
	}
	last, err := r.timeAt(s, end-len(parts[len(parts)-1]), end)
	if err != nil {
		return 0, 0, 0, err
	}
	if len(parts) == 1 {
		m, _ = last.base.Float64()
		return m, m, m, nil
	}
	var values [3]*big.Rat
	var bounds [3][2]int
	at := start
	for i, p := range parts {
		from, to := trimmed(p)
		bounds[i] = [2]int{at + from, at + to}
		if i == 2 {
			values[i] = last.base
		} else if values[i], err = r.bare(s, at+from, at+to, last.unit); err != nil {
			return 0, 0, 0, err
		}
		at += len(p) + 1
	}
	if err := inOrder(s, values, bounds); err != nil {
		return 0, 0, 0, err
	}
	a, _ = values[0].Float64()
	m, _ = values[1].Float64()
	b, _ = values[2].Float64()
	return a, m, b, nil
}

// wholeMinutes reads the usual form quickly: one whole number of minutes, or three in
// rising order. ok is false for all else, right or wrong.
func wholeMinutes(s string) (a, m, b float64, ok bool) {
	var values [3]int
	count, digits := 0, 0
	for i := range len(s) {
		switch c := s[i]; {
		case c >= '0' && c <= '9' && digits < 9:
			values[count] = 10*values[count] + int(c-'0')
			digits++
		case c == '/' && digits > 0 && count < 2:
			count, digits = count+1, 0
		default:
			return 0, 0, 0, false
		}
	}
	if digits == 0 || count == 1 {
		return 0, 0, 0, false
	}
	if count == 0 {
		values[1], values[2] = values[0], values[0]
	}
	if values[0] > values[1] || values[1] > values[2] {
		return 0, 0, 0, false
	}
	return float64(values[0]), float64(values[1]), float64(values[2]), true
}

// timeAt reads the last value, which carries the unit of all.
func (r Reading) timeAt(s string, start, end int) (Quantity, error) {
	q, err := r.ParseDefault(s[start:end], "min")
	if err != nil {
		return Quantity{}, shifted(ofTime(err), s, start)
	}
	if q.Dimension() != Time {
		return Quantity{}, wrong(s, start, end, say.That("%quantity measures %dimension, not time", say.Word(q.String()), say.Word(q.Dimension().String())), say.That("Use %units.", say.Each[say.Word](say.Or, Time.Units())), "")
	}
	if q.Sign() < 0 {
		return Quantity{}, negative(s, start, end)
	}
	return q, nil
}

// bare reads a value before a slash: a number without a unit.
func (r Reading) bare(s string, start, end int, u *unit) (*big.Rat, error) {
	if start == end {
		return nil, wrong(s, start, end, say.That("a value of the time is missing"), say.That("Write three values, such as 4/6/10."), "")
	}
	n, err := r.number(s, start, end)
	if err != nil {
		return nil, ofTime(err)
	}
	if n.at < end {
		from, _ := trimmed(s[n.at:end])
		return nil, wrong(s, n.at+from, end, say.That("the unit of a time comes once, after the last value"), say.That("Write 4/6/10 min."), "")
	}
	if n.value.Sign() < 0 {
		return nil, negative(s, start, end)
	}
	return u.toBase(n.value), nil
}

func negative(s string, start, end int) error {
	return wrong(s, start, end, say.That("a time cannot be negative"), say.That("Write how long the step takes."), "")
}

func inOrder(s string, v [3]*big.Rat, at [3][2]int) error {
	if v[0].Cmp(v[1]) > 0 {
		return wrong(s, at[0][0], at[1][1], say.That("the optimistic time is longer than the most likely one"), say.That("Put the three times in rising order."), "")
	}
	if v[1].Cmp(v[2]) > 0 {
		return wrong(s, at[1][0], at[2][1], say.That("the most likely time is longer than the pessimistic one"), say.That("Put the three times in rising order."), "")
	}
	return nil
}

// ofTime gives the advice for a time where there was none but for quantities of any kind.
func ofTime(err error) error {
	e, ok := err.(*ParseError)
	if !ok || !e.general {
		return err
	}
	what := e.Wrong
	if !e.ofTime.Empty() {
		what = e.ofTime
	}
	return wrong(e.Input, e.Offset, e.End, what, say.That("Write minutes, such as 6, or 4/6/10."), "")
}

// shifted moves an error of a part to its place in the whole text.
func shifted(err error, s string, by int) error {
	e, ok := err.(*ParseError)
	if !ok {
		return err
	}
	out := *e
	out.Input, out.Offset, out.End = s, e.Offset+by, e.End+by
	return &out
}
