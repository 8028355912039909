// Package fastening is what a workshop knows about threaded fasteners: metric
// threads, property classes, tightening torques and the keys that turn them.
// It checks whether stated figures are plausible; it certifies nothing.
package fastening

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"matchmark/procedure/measure"
	"matchmark/procedure/say"
)

// ErrNotCovered is returned for a designation that may well be right, but that
// the tables here do not cover: pipe threads, stainless classes, other drives.
var ErrNotCovered = errors.New("not covered by the tables")

// Thread is an ISO metric thread, or a unified inch thread.
type Thread struct {
	Diameter float64 // nominal, mm
	Pitch    float64 // mm
	// Coarse is true when the pitch is the diameter's coarse one, which a designation leaves out.
	Coarse bool
	// LeftHand is true when it is undone clockwise.
	LeftHand bool
	// Tolerance is the tolerance class of ISO 965, such as "6g"; empty when not stated.
	Tolerance string
	// Inch is the size of a unified thread, such as "1/2" or "#10", and PerInch its threads per inch; empty for a metric one.
	Inch    string
	PerInch int
}

// String returns the canonical designation: "M12", "M12×1.25", "M12×1.25-6g-LH".
func (t Thread) String() string {
	if t.Inch != "" {
		return t.inchName()
	}
	s := "M" + decimal(t.Diameter)
	if !t.Coarse {
		s += "×" + decimal(t.Pitch)
	}
	if t.Tolerance != "" {
		s += "-" + t.Tolerance
	}
	if t.LeftHand {
		s += "-LH"
	}
	return s
}

// StressArea returns the nominal stress area in mm², As = π/4 · (d − 0.9382·P)²; of an inch thread with 0.9743 for 0.9382.
//
// Source: ISO 898-1, nominal stress area, and ASME B1.1, tensile stress area, by public copies of their tables.
func (t Thread) StressArea() float64 {
	d := t.Diameter - 0.9382*t.Pitch
	if t.Inch != "" {
		d = t.Diameter - 0.9743*t.Pitch
	}
	return math.Pi / 4 * d * d
}

// ParseThread reads a metric designation and checks it against ISO 261: "M12",
// "M12x1.25", "M12×1.25-6g-LH"; or a unified one, against ASME B1.1: "1/2-13 UNC", "#10-32". A designation that is wrong gives a
// *measure.ParseError with the nearest right one, any other kind of thread ErrNotCovered.
func ParseThread(s string) (Thread, error) {
	if t, known, err := parseInch(s); known {
		return t, err
	}
	end := len(strings.TrimRight(s, " \t"))
	p := reader{input: s, at: end - len(strings.TrimLeft(s[:end], " \t")), end: end}
	if err := p.letter(); err != nil {
		return Thread{}, err
	}
	from := p.at
	d, err := p.number()
	if err != nil {
		return Thread{}, err
	}
	row, known := sizeOf(d)
	if !known {
		return Thread{}, unknownDiameter(&p, from, d)
	}
	t := Thread{Diameter: d, Pitch: row.coarse, Coarse: true}
	if err := p.pitch(&t, row); err != nil {
		return Thread{}, err
	}
	if err := p.suffixes(&t); err != nil {
		return Thread{}, err
	}
	return t, nil
}

// reader walks through a designation.
type reader struct {
	input   string
	at, end int
}

func (p *reader) rest() string { return p.input[p.at:p.end] }

func (p *reader) fault(from, to int, wrong, advice say.Text, suggest string) *measure.ParseError {
	return &measure.ParseError{Input: p.input, Offset: from, End: to, Wrong: wrong, Advice: advice, Suggest: suggest}
}

// letter reads the M of a metric thread.
func (p *reader) letter() error {
	rest := p.rest()
	if rest == "" {
		return p.fault(p.at, p.end, say.That("the thread is empty"), say.That("Write a designation such as M12."), "")
	}
	if rest[0] != 'M' && rest[0] != 'm' {
		return fmt.Errorf("thread %q: %w", rest, ErrNotCovered)
	}
	digits := strings.TrimLeft(rest[1:], " ")
	if digits == "" || !isDigit(digits[0]) {
		return fmt.Errorf("thread %q: %w", rest, ErrNotCovered)
	}
	if rest[0] == 'm' || len(digits) < len(rest)-1 {
		return p.fault(p.at, p.end, say.That("a metric thread is a capital M and the diameter, without a space"), say.That("Write M%digits.", say.Name(digits)), "M"+digits).AsSure()
	}
	p.at++
	return nil
}

// number reads a decimal number of up to three digits on each side of the point.
func (p *reader) number() (float64, error) {
	from := p.at
	for p.at < p.end && (isDigit(p.input[p.at]) || p.input[p.at] == '.') {
		p.at++
	}
	word := p.input[from:p.at]
	if p.at+1 < p.end && p.input[p.at] == ',' && isDigit(p.input[p.at+1]) {
		return 0, p.fault(p.at, p.at+1, say.That("the number has a decimal comma"), say.That("Write a decimal point."), ".").AsSure()
	}
	n, err := strconv.ParseFloat(word, 64)
	if err != nil || len(word) > 7 || word[0] == '.' || word[len(word)-1] == '.' {
		return 0, p.fault(from, p.at, say.That("%size is not a size", say.Quote(word)), say.That("Write the size in millimetres, such as M12 or M12×1.25."), "")
	}
	return n, nil
}

// coarsest is the greatest pitch of the table, in mm.
const coarsest = 6

// pitch reads "×1.25", or takes the coarse pitch when the designation has none.
func (p *reader) pitch(t *Thread, row size) error {
	before := p.at
	rest := strings.TrimLeft(p.rest(), " ")
	p.at = p.end - len(rest)
	for _, sign := range []string{"x", "×"} {
		after := strings.TrimLeft(strings.TrimPrefix(rest, sign), " ")
		if !strings.HasPrefix(rest, sign) || after == "" {
			continue
		}
		if !isDigit(after[0]) { // "M16×Ph3P1.5" has several starts
			return fmt.Errorf("thread %q: %w", p.input, ErrNotCovered)
		}
		p.at = p.end - len(after)
		return p.pitchValue(t, row)
	}
	for _, sign := range []string{"X", "*", "-", "/"} {
		after, signed := strings.CutPrefix(rest, sign)
		if !signed {
			continue
		}
		after = strings.TrimLeft(after, " ")
		if value, err := strconv.ParseFloat(after, 64); err == nil && value <= coarsest {
			return p.fault(p.at, p.end, say.That("the pitch follows a multiplication sign or an x"), say.That("Write M%diameter×%pitch.", say.Name(decimal(t.Diameter)), say.Name(after)), "×"+after)
		}
	}
	if row.coarse == 0 {
		return p.fault(before, before, say.That("M%diameter has no coarse pitch, so the pitch must be stated", say.Name(decimal(t.Diameter))), say.That("State one of %pitches.", say.Word(listed(row.fine, "mm"))), "")
	}
	return nil
}

func (p *reader) pitchValue(t *Thread, row size) error {
	from := p.at
	value, err := p.number()
	if err != nil {
		return err
	}
	for _, known := range row.pitches() {
		if known == value {
			t.Pitch, t.Coarse = value, value == row.coarse
			return nil
		}
	}
	pitches := say.Word(listed(row.pitches(), "mm"))
	advice := say.That("The pitches are %pitches.", pitches)
	if value > coarsest {
		advice = say.That("The pitches are %pitches; a length goes in the column for the length.", pitches)
	}
	return p.fault(from, p.at, say.That("M%diameter has no pitch of %pitch mm", say.Name(decimal(t.Diameter)), say.Name(decimal(value))), advice, decimal(nearest(value, row.pitches())))
}

// suffixes reads the tolerance class and the mark of a left-hand thread.
func (p *reader) suffixes(t *Thread) error {
	for p.at < p.end {
		word := strings.TrimLeft(p.rest(), " -–")
		from := p.end - len(word)
		word, _, _ = strings.Cut(word, "-")
		word = strings.TrimRight(word, " ")
		p.at = from + len(word)
		switch {
		case word == "LH" && !t.LeftHand:
			t.LeftHand = true
		case isTolerance(word) && t.Tolerance == "" && !t.LeftHand:
			t.Tolerance = word
		default:
			return p.fault(from, p.end, say.That("%words does not belong to a thread", say.Quote(p.input[from:p.end])), say.That("Write only the designation, such as M12×1.25, and LH for a left-hand thread."), "")
		}
	}
	return nil
}

// isTolerance reports whether a word has the form of a tolerance class: "6g", "5g6g", "6H/6g".
func isTolerance(word string) bool {
	if len(word) < 2 || len(word) > 7 {
		return false
	}
	for _, half := range strings.SplitN(word, "/", 2) {
		if len(half) != 2 && len(half) != 4 {
			return false
		}
		for i := 0; i < len(half); i += 2 {
			if half[i] < '3' || half[i] > '9' || !strings.ContainsRune("efghEFGH", rune(half[i+1])) {
				return false
			}
		}
	}
	return true
}

func unknownDiameter(p *reader, from int, d float64) error {
	all := make([]float64, len(sizes))
	for i, s := range sizes {
		all[i] = s.diameter
	}
	if most := all[len(all)-1]; d > most {
		return fmt.Errorf("thread %q is larger than M%s: %w", p.input, decimal(most), ErrNotCovered)
	}
	near := decimal(nearest(d, all))
	return p.fault(from, p.at, say.That("there is no metric thread M%diameter", say.Name(decimal(d))), say.That("The nearest is M%diameter.", say.Name(near)), near)
}

// listed writes sizes with their unit: "1.5 mm, 1.25 mm or 1 mm".
func listed(values []float64, unit string) string {
	words := make([]string, len(values))
	for i, v := range values {
		words[i] = decimal(v) + " " + unit
	}
	if len(words) == 1 {
		return words[0]
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

func decimal(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func isDigit(c byte) bool { return c >= '0' && c <= '9' }
