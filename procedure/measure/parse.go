package measure

import (
	"math/big"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// ParseError says what is wrong with a quantity, or with another designation of
// the trade such as a thread, and where.
type ParseError struct {
	// Input is the text as it was given.
	Input string
	// Offset and End are the byte range in Input that is wrong.
	Offset, End int
	// Wrong is one line that says what is wrong.
	Wrong say.Text
	// Advice is one line that says what to do.
	Advice say.Text
	// Suggest is what to write instead of the range; empty when nothing is near.
	Suggest string
	// Sure is true when nothing but Suggest can have been meant.
	Sure bool

	// general is true when the advice is one for quantities of any kind, and ofTime is Wrong said
	// of a time; empty when Wrong fits a time too.
	general bool
	ofTime  say.Text
}

// Error returns what is wrong.
func (e *ParseError) Error() string { return e.Wrong.String() }

// AsSure marks the suggestion as the only one that can have been meant.
func (e *ParseError) AsSure() *ParseError {
	e.Sure = true
	return e
}

// longestUnit is how many characters a unit, or a mistyped one, can have.
const longestUnit = 24

// What to do about a quantity of any kind.
var (
	numberAndUnit = say.That("Write a number and a unit, such as 45 N·m.")
	unitOfTable   = say.That("Use a unit of the table in the language reference.")
)

// mostDigits limits how long a number may be; no workshop quantity needs more.
const mostDigits = 15

// Reading says how numbers are written where a text comes from. The zero Reading
// has a decimal point.
type Reading struct {
	// Comma is true where the decimal sign is a comma. A point is read as one too
	// where nothing else can be meant.
	Comma bool
}

// Parse reads a number and its unit with a decimal point: see Reading.Parse.
func Parse(s string) (Quantity, error) { return Reading{}.Parse(s) }

// ParseDefault is Parse, but a number alone is taken as a number of the given unit.
func ParseDefault(s, unit string) (Quantity, error) { return Reading{}.ParseDefault(s, unit) }

// ParseAs is Parse for a quantity that must be of one dimension.
func ParseAs(s string, d Dimension) (Quantity, error) {
	q, err := Parse(s)
	if err != nil {
		return Quantity{}, err
	}
	if q.Dimension() != d {
		start, end := trimmed(s)
		return Quantity{}, wrong(s, start, end, say.That("%quantity measures %dimension, and %wanted is wanted here", say.Word(q.String()), say.Word(q.Dimension().String()), say.Word(d.String())), say.That("Use %units.", say.Each[say.Word](say.Or, d.Units())), "")
	}
	return q, nil
}

// Parse reads a number and its unit: "45 N·m", "2.5 L", "-5 °C", "1 1/2 in", "1 h 30 min".
// The space between them may be left out. Thousands may be separated where that
// cannot be misread. Every error is a *ParseError.
func (r Reading) Parse(s string) (Quantity, error) { return r.ParseDefault(s, "") }

// ParseDefault is Parse, but a number alone is taken as a number of the given unit.
func (r Reading) ParseDefault(s, unit string) (Quantity, error) {
	q, err := r.parse(s, unit)
	if err == nil {
		return q, nil
	}
	if value, tolerance, ok := r.within(s, unit); ok {
		start, end := trimmed(s)
		_, most, windowErr := value.Window(tolerance)
		if windowErr == nil {
			return Quantity{}, wrong(s, start, end, say.That("this is a range, and one value is wanted here"), say.That("Write one value, such as %value.", say.Word(most.String())), "")
		}
	}
	return Quantity{}, err
}

func (r Reading) parse(s, fallback string) (Quantity, error) {
	start, end := trimmed(s)
	if start == end {
		return Quantity{}, generally(wrong(s, start, end, say.That("the quantity is empty"), numberAndUnit, ""), say.That("the time is empty"))
	}
	n, err := r.number(s, start, end)
	if err != nil {
		return Quantity{}, err
	}
	from := skipSpace(s, n.at, end)
	if from == end {
		if fallback == "" {
			return Quantity{}, wrong(s, start, end, say.That("the number has no unit"), say.That("Add the unit, such as N·m, mm, kg, L or min."), "")
		}
		u, ok := lookup(fallback)
		if !ok {
			return Quantity{}, wrong(s, start, end, say.That("unknown unit %unit", say.Quote(fallback)), say.That("State a unit."), "")
		}
		return n.of(u), nil
	}
	u, err := unitAt(s, from, end)
	if err != nil {
		if q, ok := r.compound(s, n, from, end); ok {
			return q, nil
		}
		if at := strings.IndexByte(s[from:end], '('); at > 0 && s[end-1] == ')' {
			if _, ok := lookup(strings.TrimSpace(s[from : from+at])); ok {
				return Quantity{}, wrong(s, from+at, end, say.That("words in parentheses stand behind the unit"), say.That("Take them out: one value is read; what is to be said of it goes into the column note."), "")
			}
		}
		return Quantity{}, err
	}
	return n.of(u), nil
}

// compounds are the units that people write one behind the other, each with the next smaller one.
var compounds = map[string]string{"h": "min", "min": "s", "ft": "in", "lb": "oz"}

// compound reads "1 h 30 min" or "5 ft 6 in", whose first number is n; a number at the
// end without a unit, as in "1 h 30", is one of minutes.
func (r Reading) compound(s string, n numeral, from, end int) (Quantity, bool) {
	if n.value.Sign() < 0 {
		return Quantity{}, false
	}
	u, at := unitBefore(s, from, end)
	if u == nil || compounds[u.symbol] == "" {
		return Quantity{}, false
	}
	out := n.of(u)
	for at < end {
		smaller, _ := lookup(compounds[u.symbol])
		n, err := r.number(s, at, end)
		if smaller == nil || err != nil {
			return Quantity{}, false
		}
		from := skipSpace(s, n.at, end)
		next, stop := unitBefore(s, from, end)
		if from == end && u.symbol == "h" {
			next, stop = smaller, end
		}
		if next != smaller {
			return Quantity{}, false
		}
		part := n.of(next)
		out = Quantity{base: out.base.Add(out.base, part.base), unit: next, written: out.written + " " + part.written}
		u, at = next, stop
	}
	return out, true
}

// unitBefore reads the unit at s[from:end] up to the next digit, and returns where that stands; nil when there is none.
func unitBefore(s string, from, end int) (*unit, int) {
	stop := end
	if digit := strings.IndexAny(s[from:end], "0123456789"); digit >= 0 {
		stop = from + digit
	}
	word := strings.TrimRight(strings.TrimSpace(s[from:stop]), ".,")
	u, ok := lookup(word)
	if !ok {
		return nil, stop
	}
	return u, stop
}

// numeral is a number as it was written.
type numeral struct {
	value    *big.Rat
	decimals int
	fraction string // as "1 1/2"; empty for a number in digits
	at       int    // where it stops
}

// of is so many of a unit.
func (n numeral) of(u *unit) Quantity {
	if n.fraction != "" {
		return Quantity{base: u.toBase(n.value), unit: u, written: withUnit(n.fraction, u)}
	}
	return writtenIn(u, n.value, n.decimals)
}

// number reads the number at s[start:end]: digits with decimals, or with a fraction.
func (r Reading) number(s string, start, end int) (numeral, error) {
	at := start
	if s[at] == '-' || s[at] == '+' {
		at++
	}
	whole := at
	at = skipDigits(s, at, end)
	if n, ok, err := fractional(s, start, whole, at, end); ok || err != nil {
		return n, err
	}
	if at == whole {
		return numeral{}, notANumber(s, start, at, end)
	}
	sign, digits := s[start:whole], s[whole:at]
	decimals := 0
	if at < end && strings.ContainsRune(".,'’ \u00a0\u2009\u202f", runeAt(s, at)) {
		stop := separated(s, at, end)
		var err error
		if digits, decimals, err = r.plainDigits(s, whole, stop); err != nil {
			return numeral{}, err
		}
		at = stop
	}
	if len(digits) > mostDigits+1 {
		return numeral{}, wrong(s, start, at, say.That("the number is too long"), say.That("Use at most %mostDigits digits.", say.Count(mostDigits)), "")
	}
	n, ok := new(big.Rat).SetString(sign + digits)
	if !ok {
		return numeral{}, wrong(s, start, at, say.That("this is not a number"), say.That("Write digits, with a decimal point where needed."), "")
	}
	return numeral{value: n, decimals: decimals, at: at}, nil
}

// vulgar are the fractions that have a character of their own.
var vulgar = map[rune]string{'½': "1/2", '⅓': "1/3", '⅔': "2/3", '¼': "1/4", '¾': "3/4", '⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8"}

// fractional reads a number with a fraction in it: "3/4", "1 1/2", "1-1/2", "1½".
// The digits at s[whole:at] are read already. ok is false when there is no fraction.
func fractional(s string, start, whole, at, end int) (n numeral, ok bool, err error) {
	integer, from := s[whole:at], at
	if at < end && (s[at] == '-' || s[at] == ' ') && at > whole {
		from = at + 1
		for from < end && s[from] == ' ' {
			from++
		}
	}
	if part := vulgar[runeAt(s, from)]; part != "" && (from == at || s[at] == ' ') {
		stop := from + utf8.RuneLen(runeAt(s, from))
		return mixed(s[start:whole], integer, part, stop), true, nil
	}
	over := skipDigits(s, from, end)
	numerator := s[from:over]
	if from == at { // the digits before the stroke are the numerator
		numerator, over, integer = integer, at, ""
	}
	slash := runeAt(s, over)
	if numerator == "" || slash != '/' && slash != '⁄' {
		return n, false, nil
	}
	under := over + utf8.RuneLen(slash)
	stop := skipDigits(s, under, end)
	if stop == under {
		return n, false, nil
	}
	if !proper(numerator, s[under:stop]) {
		return n, false, wrong(s, start, stop, say.That("this is not a fraction that can be read"),
			say.That("Write halves, thirds, quarters, eighths, sixteenths, 32nds or 64ths below one, such as 3/4 or 1 1/2; else a decimal."), "")
	}
	return mixed(s[start:whole], integer, numerator+"/"+s[under:stop], stop), true, nil
}

// proper reports whether a fraction is one of a rule or of a drill gauge: below one, and of halves to 64ths, or of thirds.
func proper(over, under string) bool {
	a, errOver := strconv.Atoi(over)
	b, errUnder := strconv.Atoi(under)
	return errOver == nil && errUnder == nil && a > 0 && a < b && slices.Contains([]int{2, 3, 4, 8, 16, 32, 64}, b)
}

func mixed(sign, integer, part string, stop int) numeral {
	value, written := fraction(part), part
	if integer != "" {
		if len(integer) > mostDigits {
			integer = integer[:mostDigits]
		}
		value.Add(value, fraction(integer))
		written = strings.TrimLeft(integer, "0") + " " + part
		written = strings.TrimPrefix(written, " ")
	}
	if sign == "-" {
		value.Neg(value)
		written = "-" + written
	}
	return numeral{value: value, fraction: written, at: stop}
}

func runeAt(s string, at int) rune {
	if at >= len(s) {
		return utf8.RuneError
	}
	c, _ := utf8.DecodeRuneInString(s[at:])
	return c
}

func skipSpace(s string, at, end int) int {
	for at < end {
		r, size := utf8.DecodeRuneInString(s[at:end])
		if !unicode.IsSpace(r) {
			break
		}
		at += size
	}
	return at
}

// loose are what people put in front of a number that they are not sure of, or that is a limit.
var loose = []string{"±", "+/-", "~", "≈", "ca.", "ca", "circa", "about", "approx.", "approx", "etwa", "<=", ">=", "<", ">", "≤", "≥", "max.", "max", "min.", "ø", "Ø"}

func notANumber(s string, start, at, end int) error {
	if at < end && s[at] == '.' {
		if stop := skipDigits(s, at+1, end); stop > at+1 {
			return wrong(s, start, stop, say.That("a digit is missing before the decimal point"), say.That("Write 0 before the point."), s[start:at]+"0"+s[at:stop]).AsSure()
		}
	}
	if r, size := utf8.DecodeRuneInString(s[start:]); strings.ContainsRune("−–—", r) {
		return wrong(s, start, start+size, say.That("this is not a minus sign that can be read"), say.That("Write a hyphen for minus."), "-").AsSure()
	}
	for _, sign := range loose {
		if rest, ok := strings.CutPrefix(s[start:end], sign); ok && strings.TrimSpace(rest) != "" && unicode.IsDigit(rune(strings.TrimSpace(rest)[0])) {
			return wrong(s, start, end, say.That("%sign stands in front of the number", say.Quote(sign)), say.That("Write the number and its unit alone."), strings.TrimSpace(rest))
		}
	}
	return generally(wrong(s, start, end, say.That("the quantity does not start with a number"), numberAndUnit, ""), say.That("the time does not start with a number"))
}

// separated returns where a number with separators ends, the first of which stands at s[at]:
// each has a digit behind it, and a space has three.
func separated(s string, at, end int) int {
	for at < end {
		sign, size := utf8.DecodeRuneInString(s[at:end])
		if !strings.ContainsRune(".,'’ \u00a0\u2009\u202f", sign) {
			break
		}
		stop := skipDigits(s, at+size, end)
		if stop == at+size || isSpace(sign) && stop != at+size+3 {
			break
		}
		at = stop
	}
	return at
}

func isSpace(r rune) bool { return r == ' ' || r == '\u00a0' || r == '\u2009' || r == '\u202f' }

// plainDigits turns a number with separators into digits with a point before the decimals.
// What means different numbers in different countries is refused.
func (r Reading) plainDigits(s string, start, stop int) (digits string, decimals int, err error) {
	decimal, other := ".", ","
	if r.Comma {
		decimal, other = other, decimal
	}
	written := s[start:stop]
	whole, part, has := strings.Cut(written, decimal)
	groups, regular := ungrouped(whole)
	switch {
	case has && strings.Trim(part, "0123456789") == "" && regular:
		if part == "" {
			return groups, 0, nil
		}
		return groups + "." + part, len(part), nil
	case !has && regular && (!strings.Contains(whole, other) || strings.Count(whole, other) > 1):
		return groups, 0, nil // thousands, by spaces or apostrophes, or more than once
	case strings.Count(written, decimal) > 1 && !strings.Contains(written, other):
		if groups, regular := ungrouped(written); regular {
			return groups, 0, nil // 1.234.567 can be nothing else
		}
	}
	// The other sign for decimals, once and at the end?
	if strings.Count(written, other) == 1 {
		whole, part, _ := strings.Cut(written, other)
		groups, regular := ungrouped(whole)
		if regular && strings.Trim(part, "0123456789") == "" && (strings.Contains(whole, decimal) || len(part) != 3) {
			switch {
			case !r.Comma:
				return "", 0, wrong(s, start, stop, say.That("the number has a decimal comma"), say.That("Write a decimal point."), groups+"."+part).AsSure()
			case groups == whole:
				return groups + "." + part, len(part), nil
			}
		}
	}
	advice := say.That("Write the digits without separators, and a point before decimals.")
	if r.Comma {
		advice = say.That("Write the digits without separators, and a comma before decimals.")
	}
	return "", 0, wrong(s, start, stop, say.That("the number has a separator in it that can be misread"), advice, "")
}

// ungrouped takes the separators of thousands out of a whole number; regular is false when they do not stand
// every three digits, or are of several kinds.
func ungrouped(s string) (digits string, regular bool) {
	var kind rune
	group, first := 0, true
	regular = true
	var out strings.Builder
	for _, c := range s {
		if c >= '0' && c <= '9' {
			out.WriteRune(c)
			group++
			continue
		}
		if kind != 0 && c != kind || group == 0 || group > 3 || !first && group != 3 {
			regular = false
		}
		kind, group, first = c, 0, false
	}
	return out.String(), regular && (kind == 0 || group == 3)
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
		return nil, wrong(s, from, end, say.That("this is too long for a unit"), say.That("Write a number and a unit, nothing else."), "")
	}
	if u, ok := lookup(word); ok {
		return u, nil
	}
	if u, ok := lookup(strings.TrimSuffix(word, ".")); ok {
		return u, nil // an abbreviation's full stop
	}
	if u, sure := meant(word); u != nil {
		fault := wrong(s, from, end, say.That("unknown unit %unit", say.Quote(word)), say.That("Did you mean %unit?", say.Word(u.symbol)), u.symbol)
		fault.Sure = sure
		return nil, fault
	}
	return nil, generally(wrong(s, from, end, say.That("unknown unit %unit", say.Quote(word)), unitOfTable, ""), say.Text{})
}

// meant finds the unit that a misspelt one stands for: letters in the wrong
// case first, then words that people write by mistake, then near misses. Of the
// near misses it is not sure.
func meant(word string) (u *unit, sure bool) {
	word = plainSpelling(word)
	var candidates []string
	for i := range units {
		u := &units[i]
		if strings.EqualFold(word, u.symbol) {
			return u, true
		}
		for _, a := range u.aliases {
			if strings.EqualFold(word, a) {
				return u, true
			}
		}
		candidates = append(append(candidates, u.symbol), u.aliases...)
	}
	for i := range units {
		for _, w := range units[i].wrong {
			if strings.EqualFold(word, w) {
				return &units[i], true
			}
		}
	}
	// Nearly every two-letter word is one letter away from some unit.
	if utf8.RuneCountInString(word) < 3 {
		return nil, false
	}
	return spellings[diagnostic.Nearest(word, candidates)], false
}

// trimmed returns the byte range of s without the space around it.
func trimmed(s string) (start, end int) {
	end = len(strings.TrimRightFunc(s, unicode.IsSpace))
	start = len(s) - len(strings.TrimLeftFunc(s, unicode.IsSpace))
	return min(start, end), end
}

func wrong(s string, start, end int, wrong, advice say.Text, suggest string) *ParseError {
	return &ParseError{Input: s, Offset: start, End: end, Wrong: wrong, Advice: advice, Suggest: suggest}
}

// generally marks a fault whose advice is one for quantities of any kind; ofTime is what is wrong, said of a time.
func generally(e *ParseError, ofTime say.Text) *ParseError {
	e.general, e.ofTime = true, ofTime
	return e
}
