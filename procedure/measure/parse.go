package measure

import (
	"fmt"
	"math/big"
	"strings"
	"unicode"
	"unicode/utf8"

	"matchmark/procedure/diagnostic"
)

// ParseError says what is wrong with a quantity, or with another designation of
// the trade such as a thread, and where.
type ParseError struct {
	// Input is the text as it was given.
	Input string
	// Offset and End are the byte range in Input that is wrong.
	Offset, End int
	// Message is one line that says what is wrong.
	Message string
	// Do is one line that says what to do.
	Do string
	// Suggest is what to write instead of the range; empty when nothing is near.
	Suggest string
}

// Error returns the message.
func (e *ParseError) Error() string { return e.Message }

// longestUnit is how many characters a unit, or a mistyped one, can have.
const longestUnit = 24

// What to do about a quantity of any kind.
const (
	numberAndUnit = "write a number and a unit, such as 45 N·m"
	unitOfTable   = "use a unit of the table in the language reference"
)

// mostDigits limits how long a number may be; no workshop quantity needs more.
const mostDigits = 15

// Parse reads a number and its unit: "45 N·m", "2.5 L", "-5 °C". The space
// between them may be left out. The decimal sign is a point, and thousands are
// not separated. Every error is a *ParseError.
func Parse(s string) (Quantity, error) { return parse(s, "") }

// ParseDefault is Parse, but a number alone is taken as a number of the given unit.
func ParseDefault(s, unit string) (Quantity, error) { return parse(s, unit) }

// ParseAs is Parse for a quantity that must be of one dimension.
func ParseAs(s string, d Dimension) (Quantity, error) {
	q, err := parse(s, "")
	if err != nil {
		return Quantity{}, err
	}
	if q.Dimension() != d {
		start, end := trimmed(s)
		return Quantity{}, wrong(s, start, end, fmt.Sprintf("%s measures %s, and %s is wanted here", q, q.Dimension(), d), "use "+oneOf(d.Units()), "")
	}
	return q, nil
}

func parse(s, fallback string) (Quantity, error) {
	start, end := trimmed(s)
	if start == end {
		return Quantity{}, wrong(s, start, end, "the quantity is empty", numberAndUnit, "")
	}
	n, decimals, at, err := number(s, start, end)
	if err != nil {
		return Quantity{}, err
	}
	from := at
	for from < end {
		r, size := utf8.DecodeRuneInString(s[from:])
		if !unicode.IsSpace(r) {
			break
		}
		from += size
	}
	if from == end {
		if fallback == "" {
			return Quantity{}, wrong(s, start, end, "the number has no unit", "add the unit, such as N·m, mm, kg, L or min", "")
		}
		u, ok := lookup(fallback)
		if !ok {
			return Quantity{}, wrong(s, start, end, fmt.Sprintf("unknown unit %q", fallback), "state a unit", "")
		}
		return writtenIn(u, n, decimals), nil
	}
	u, err := unitAt(s, from, end)
	if err != nil {
		return Quantity{}, err
	}
	return writtenIn(u, n, decimals), nil
}

// number reads the number at s[start:end] and returns where it stops.
func number(s string, start, end int) (n *big.Rat, decimals, at int, err error) {
	at = start
	if s[at] == '-' || s[at] == '+' {
		at++
	}
	whole := at
	at = skipDigits(s, at, end)
	if at == whole {
		return nil, 0, at, notANumber(s, start, at, end)
	}
	if at < end && s[at] == '.' {
		if fractionEnd := skipDigits(s, at+1, end); fractionEnd > at+1 {
			decimals = fractionEnd - at - 1
			at = fractionEnd
		}
	}
	if err := separators(s, start, at, end); err != nil {
		return nil, 0, at, err
	}
	if at-whole > mostDigits+1 {
		return nil, 0, at, wrong(s, start, at, "the number is too long", fmt.Sprintf("use at most %d digits", mostDigits), "")
	}
	n, ok := new(big.Rat).SetString(s[start:at])
	if !ok {
		return nil, 0, at, wrong(s, start, at, "this is not a number", "write digits, with a decimal point where needed", "")
	}
	return n, decimals, at, nil
}

func notANumber(s string, start, at, end int) error {
	if at < end && s[at] == '.' {
		if stop := skipDigits(s, at+1, end); stop > at+1 {
			return wrong(s, start, stop, "a digit is missing before the decimal point", "write 0 before the point", s[start:at]+"0"+s[at:stop])
		}
	}
	if r, size := utf8.DecodeRuneInString(s[start:]); strings.ContainsRune("−–—", r) {
		return wrong(s, start, start+size, "this is not a minus sign that can be read", "write a hyphen for minus", "-")
	}
	return wrong(s, start, end, "the quantity does not start with a number", numberAndUnit, "")
}

// separators refuses decimal commas and separated thousands: they mean
// different numbers in different countries.
func separators(s string, start, at, end int) error {
	r, size := utf8.DecodeRuneInString(s[at:end])
	next := at + size
	if !strings.ContainsRune(",.'’ \u00a0\u2009\u202f", r) || next >= end || s[next] < '0' || s[next] > '9' {
		return nil
	}
	stop := next
	for stop < end {
		r, size := utf8.DecodeRuneInString(s[stop:])
		if !strings.ContainsRune("0123456789,.'’\u00a0\u2009\u202f", r) {
			break
		}
		stop += size
	}
	if r == ',' && strings.Count(s[start:stop], ",") == 1 && !strings.Contains(s[start:stop], ".") && stop-next != 3 {
		return wrong(s, start, stop, "the number has a decimal comma", "write a decimal point", strings.Replace(s[start:stop], ",", ".", 1))
	}
	return wrong(s, start, stop, "the number has a separator in it that can be misread", "write the digits without separators, and a point before decimals", "")
}

func skipDigits(s string, at, end int) int {
	for at < end && s[at] >= '0' && s[at] <= '9' {
		at++
	}
	return at
}

// unitAt reads the unit that is all of s[from:end].
func unitAt(s string, from, end int) (*unit, error) {
	word := s[from:end]
	if utf8.RuneCountInString(word) > longestUnit {
		return nil, wrong(s, from, end, "this is too long for a unit", "write a number and a unit, nothing else", "")
	}
	if u, ok := lookup(word); ok {
		return u, nil
	}
	if u := meant(word); u != nil {
		return nil, wrong(s, from, end, fmt.Sprintf("unknown unit %q", word), fmt.Sprintf("did you mean %s?", u.symbol), u.symbol)
	}
	return nil, wrong(s, from, end, fmt.Sprintf("unknown unit %q", word), unitOfTable, "")
}

// meant finds the unit that a misspelt one stands for: letters in the wrong
// case first, then words that people write by mistake, then near misses.
func meant(word string) *unit {
	word = plainSpelling(word)
	var candidates []string
	for i := range units {
		u := &units[i]
		if strings.EqualFold(word, u.symbol) {
			return u
		}
		for _, a := range u.aliases {
			if strings.EqualFold(word, a) {
				return u
			}
		}
		candidates = append(append(candidates, u.symbol), u.aliases...)
	}
	for i := range units {
		for _, w := range units[i].wrong {
			if strings.EqualFold(word, w) {
				return &units[i]
			}
		}
	}
	// Nearly every two-letter word is one letter away from some unit.
	if utf8.RuneCountInString(word) < 3 {
		return nil
	}
	return spellings[diagnostic.Nearest(word, candidates)]
}

// trimmed returns the byte range of s without the space around it.
func trimmed(s string) (start, end int) {
	end = len(strings.TrimRightFunc(s, unicode.IsSpace))
	start = len(s) - len(strings.TrimLeftFunc(s, unicode.IsSpace))
	return min(start, end), end
}

func wrong(s string, start, end int, message, do, suggest string) *ParseError {
	return &ParseError{Input: s, Offset: start, End: end, Message: message, Do: do, Suggest: suggest}
}

// oneOf joins alternatives: "a, b or c".
func oneOf(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
