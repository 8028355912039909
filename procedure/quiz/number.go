package quiz

import (
	"fmt"
	"regexp"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// Limits returns the least and the greatest number that count as right, in the
// unit of the right answer. Limits that do not end within six decimals are
// rounded there. It fails when the tolerance does not go with the answer.
func Limits(question *procedure.Question) (low, high measure.Quantity, err error) {
	low, high, err = question.Number.Window(question.Tolerance)
	if err != nil {
		return low, high, fmt.Errorf("question %s: %w", question.ID, err)
	}
	return asWritten(low), asWritten(high), nil
}

// asWritten drops what is behind the last decimal that is written.
func asWritten(q measure.Quantity) measure.Quantity {
	if written, err := measure.Parse(q.String()); err == nil {
		return written
	}
	return q
}

// typedNumber is what counts as a number in an answer: digits, with a decimal
// point or comma between digits.
var typedNumber = regexp.MustCompile(`^[+-]?[0-9]+([.,][0-9]+)?$`)

// mostDigits is how many digits a typed number may have.
const mostDigits = 15

// given reads a typed number with the unit chosen for it; ok is false when it is no number.
func given(a Answer) (q measure.Quantity, ok bool) {
	typed := strings.ReplaceAll(strings.TrimSpace(a.Number), "−", "-")
	if !typedNumber.MatchString(typed) || len(strings.Trim(typed, "+-")) > mostDigits+1 {
		return q, false
	}
	q, err := measure.New(strings.Replace(typed, ",", ".", 1), a.Unit)
	return q, err == nil
}

func rightNumber(question *procedure.Question, a Answer) bool {
	low, high, err := Limits(question)
	number, ok := given(a)
	return err == nil && ok && number.SameDimension(low) && number.Compare(low) >= 0 && number.Compare(high) <= 0
}
