package measure

import (
	"fmt"
	"math/big"
	"strings"
)

// ParseEstimate reads the time of a step: optimistic, most likely and
// pessimistic as "4/6/10", or one value for all three. The unit comes last and
// covers all of them ("0.5/1/2 h"); without one they are minutes. The result is
// in minutes, with 0 ≤ a ≤ m ≤ b. Every error is a *ParseError.
func ParseEstimate(s string) (a, m, b float64, err error) {
	if a, m, b, ok := wholeMinutes(s); ok {
		return a, m, b, nil
	}
	start, end := trimmed(s)
	parts := strings.Split(s[start:end], "/")
	if len(parts) != 1 && len(parts) != 3 {
		return 0, 0, 0, wrong(s, start, end, fmt.Sprintf("a time has one value or three, and this one has %d", len(parts)),
			"write optimistic/most likely/pessimistic in minutes, such as 4/6/10, or one value", "")
	}
	last, err := timeAt(s, end-len(parts[len(parts)-1]), end)
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
		} else if values[i], err = bare(s, at+from, at+to, last.unit); err != nil {
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
func timeAt(s string, start, end int) (Quantity, error) {
	q, err := ParseDefault(s[start:end], "min")
	if err != nil {
		return Quantity{}, shifted(ofTime(err), s, start)
	}
	if q.Dimension() != Time {
		return Quantity{}, wrong(s, start, end, fmt.Sprintf("%s measures %s, not time", q, q.Dimension()), "use "+oneOf(Time.Units()), "")
	}
	if q.Sign() < 0 {
		return Quantity{}, negative(s, start, end)
	}
	return q, nil
}

// bare reads a value before a slash: a number without a unit.
func bare(s string, start, end int, u *unit) (*big.Rat, error) {
	if start == end {
		return nil, wrong(s, start, end, "a value of the time is missing", "write three values, such as 4/6/10", "")
	}
	n, _, at, err := number(s, start, end)
	if err != nil {
		return nil, ofTime(err)
	}
	if at < end {
		from, _ := trimmed(s[at:end])
		return nil, wrong(s, at+from, end, "the unit of a time comes once, after the last value", "write 4/6/10 min", "")
	}
	if n.Sign() < 0 {
		return nil, negative(s, start, end)
	}
	return u.toBase(n), nil
}

func negative(s string, start, end int) error {
	return wrong(s, start, end, "a time cannot be negative", "write how long the step takes", "")
}

func inOrder(s string, v [3]*big.Rat, at [3][2]int) error {
	if v[0].Cmp(v[1]) > 0 {
		return wrong(s, at[0][0], at[1][1], "the optimistic time is longer than the most likely one", "put the three times in rising order", "")
	}
	if v[1].Cmp(v[2]) > 0 {
		return wrong(s, at[1][0], at[2][1], "the most likely time is longer than the pessimistic one", "put the three times in rising order", "")
	}
	return nil
}

// ofTime gives the advice for a time where there was none but for quantities of any kind.
func ofTime(err error) error {
	e, ok := err.(*ParseError)
	if !ok || e.Suggest != "" || e.Do != numberAndUnit && e.Do != unitOfTable {
		return err
	}
	return wrong(e.Input, e.Offset, e.End, strings.Replace(e.Message, "the quantity", "the time", 1), "write minutes, such as 6, or 4/6/10", "")
}

// shifted moves an error of a part to its place in the whole text.
func shifted(err error, s string, by int) error {
	e, ok := err.(*ParseError)
	if !ok {
		return err
	}
	return wrong(s, e.Offset+by, e.End+by, e.Message, e.Do, e.Suggest)
}
