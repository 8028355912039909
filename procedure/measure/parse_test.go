package measure

import (
	"errors"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestParseErrors(t *testing.T) {
	for _, c := range []struct{ in, bad, message, suggest string }{
		{"", "", "empty", ""},
		{"  ", "", "empty", ""},
		{"45", "45", "no unit", ""},
		{"45 nm", "nm", "unknown unit", "N·m"},
		{"5 furlongs", "furlongs", "unknown unit", ""},
		{"45 N·m with the long wrench", "N·m with the long wrench", "unknown unit", ""},
		{"45 N·m with the very long wrench", "N·m with the very long wrench", "too long for a unit", ""},
		{"1 gal", "gal", "unknown unit", "US gal"},
		{"2,5 L", "2,5", "decimal comma", "2.5"},
		{"1,000 N", "1,000", "separator", ""},
		{"1.000,5 N", "1.000,5", "decimal comma", "1000.5"},
		{"33 ftlb", "ftlb", "unknown unit", "lbf·ft"},
		{"64 kG", "kG", "unknown unit", "kg"},
		{"5 x", "x", "unknown unit", "pcs"},
		{"23-27 lbf·ft", "23-27 lbf·ft", "a range", ""},
		{"13 ± 0.1 mm", "13 ± 0.1 mm", "a range", ""},
		{"3/5 in", "3/5", "not a fraction", ""},
		{"5/4 in", "5/4", "not a fraction", ""},
		{"1/0 in", "1/0", "not a fraction", ""},
		{"1 h 30 s", "h 30 s", "unknown unit", ""},
		{"1,00,000 N", "1,00,000", "separator", ""},
		{"1.2.3 N", "1.2.3", "separator", ""},
		{".5 L", ".5", "missing before", "0.5"},
		{"-.5 L", "-.5", "missing before", "-0.5"},
		{"−5 °C", "−", "minus", "-"},
		{"N·m", "N·m", "start with a number", ""},
		{"about 5 kg", "about 5 kg", "stands in front of the number", "5 kg"},
		{"1234567890123456789 N", "1234567890123456789", "too long", ""},
		{"5. L", ". L", "unknown unit", ""},
	} {
		q, err := Parse(c.in)
		var e *ParseError
		if !errors.As(err, &e) {
			t.Errorf("Parse(%q) = %s, %v; want a ParseError", c.in, q, err)
			continue
		}
		if got := e.Input[e.Offset:e.End]; got != c.bad || !strings.Contains(e.Error(), c.message) || e.Suggest != c.suggest || e.Advice.Empty() {
			t.Errorf("Parse(%q): %q at %q, do %q, suggest %q; want %q at %q, suggest %q", c.in, e.Error(), got, e.Advice.String(), e.Suggest, c.message, c.bad, c.suggest)
		}
	}
}

// As people write them: each is one quantity, written in one way. A length in inches is exact:
// 1 in = 25.4 mm (definition of the international inch).
func TestAsPeopleWrite(t *testing.T) {
	for _, c := range []struct{ in, want, base string }{
		{"3/4 in", "3/4 in", "19.05 mm"}, {"1 1/2 in", "1 1/2 in", "38.1 mm"}, {"1-1/2 in", "1 1/2 in", "38.1 mm"}, {"1½ in", "1 1/2 in", "38.1 mm"},
		{"½\"", "1/2 in", "12.7 mm"}, {"2 ¾ in", "2 3/4 in", "69.85 mm"}, {"1/64 in", "1/64 in", "0.396875 mm"}, {"-1/2 in", "-1/2 in", "-12.7 mm"},
		{"0 1/2 in", "1/2 in", "12.7 mm"}, {"5 ft 6 in", "5 ft 6 in", "1676.4 mm"}, {"5 ft 6 1/2 in", "5 ft 6 1/2 in", "1689.1 mm"},
		{"12 lbs", "12 lb", "5.44310844 kg"}, {"64 Kg.", "64 kg", "64 kg"}, {"64 kg.", "64 kg", "64 kg"}, {"33 ft-lbs", "33 lbf·ft", "44.741992 N·m"},
		{"45 N.m.", "45 N·m", "45 N·m"}, {"45 NM", "45 N·m", "45 N·m"},
		{"1 h 30 min", "1 h 30 min", "90 min"}, {"1h30", "1 h 30 min", "90 min"}, {"1 hour 30 minutes", "1 h 30 min", "90 min"}, {"90 mins", "90 min", "90 min"},
		{"1 h 5 min 30 s", "1 h 5 min 30 s", "65.5 min"}, {"1.5 h", "1.5 h", "90 min"}, {"1/2 h", "1/2 h", "30 min"},
		{"1 000 N", "1000 N", "1000 N"}, {"12'500 N", "12500 N", "12500 N"}, {"1,234.5 N", "1234.5 N", "1234.5 N"}, {"1,234,567 N", "1234567 N", "1234567 N"},
	} {
		q, err := Parse(c.in)
		if err != nil {
			t.Errorf("Parse(%q): %v", c.in, err)
			continue
		}
		want := Must(c.base)
		if in, err := q.In(want.Unit()); q.String() != c.want || err != nil || in.Format(want.Unit(), 6) != want.Format(want.Unit(), 6) {
			t.Errorf("Parse(%q) = %q, %v; want %q, %s", c.in, q, in, c.want, want)
		}
	}
}

func TestDecimalComma(t *testing.T) {
	comma := Reading{Comma: true}
	for in, want := range map[string]string{
		"2,5 L": "2.5 L", "1.234,5 kg": "1234.5 kg", "1,234 kg": "1.234 kg", "0,25 mm": "0.25 mm", "2.5 L": "2.5 L", "1 234,5 N": "1234.5 N",
		"1.234.567 N": "1234567 N", "1 1/2 in": "1 1/2 in", "-5,5 °C": "-5.5 °C", "1,5 h": "1.5 h",
	} {
		if q, err := comma.Parse(in); err != nil || q.String() != want {
			t.Errorf("%q is %q, %v; want %q", in, q, err, want)
		}
	}
	for _, in := range []string{"1.234 kg", "1,234.5 kg", "1,2,3 kg", "1.23.456 kg"} {
		if q, err := comma.Parse(in); err == nil {
			t.Errorf("%q is %q", in, q)
		}
	}
	if a, m, b, err := comma.ParseEstimate("4,5/6/10,5"); err != nil || a != 4.5 || m != 6 || b != 10.5 {
		t.Errorf("%v/%v/%v, %v", a, m, b, err)
	}
}

func TestParseWithin(t *testing.T) {
	for _, c := range []struct{ in, value, tolerance, low, high string }{
		{"45 N·m", "45 N·m", "", "45 N·m", "45 N·m"},
		{"45 ± 5 N·m", "45 N·m", "5 N·m", "40 N·m", "50 N·m"},
		{"45 N·m ± 10 %", "45 N·m", "10 %", "40.5 N·m", "49.5 N·m"},
		{"45 N·m ±10%", "45 N·m", "10 %", "40.5 N·m", "49.5 N·m"},
		{"13 mm +/- 0.1 mm", "13 mm", "0.1 mm", "12.9 mm", "13.1 mm"},
		{"13 +/- 0.1 mm", "13 mm", "0.1 mm", "12.9 mm", "13.1 mm"},
		{"23-27 lbf·ft", "25 lbf·ft", "2 lbf·ft", "23 lbf·ft", "27 lbf·ft"},
		{"23–27 ft-lb", "25 lbf·ft", "2 lbf·ft", "23 lbf·ft", "27 lbf·ft"},
		{"23 ft-lb - 27 ft-lb", "25 lbf·ft", "2 lbf·ft", "23 lbf·ft", "27 lbf·ft"},
		{"23 to 28 N·m", "25.5 N·m", "2.5 N·m", "23 N·m", "28 N·m"},
		{"1/2 to 3/4 in", "0.625 in", "0.125 in", "0.5 in", "0.75 in"},
	} {
		value, tolerance, err := Reading{}.ParseWithin(c.in, "")
		low, high, windowErr := value.Window(tolerance)
		if err != nil || windowErr != nil || value.String() != c.value || tolerance.String() != c.tolerance || !low.Equal(Must(c.low)) || !high.Equal(Must(c.high)) {
			t.Errorf("%q: %s and %s, from %s to %s, %v", c.in, value, tolerance, low, high, err)
		}
	}
	for _, in := range []string{"± 5 N·m", "45 ± N·m", "45 ± 5", "45 kg ± 5 N·m", "27-23 N·m", "23-27", "45 N·m ± -1 N·m", "-", "±"} {
		if value, tolerance, err := (Reading{}).ParseWithin(in, ""); err == nil {
			t.Errorf("%q is %s and %s", in, value, tolerance)
		}
	}
	if low, high, ok := (Reading{}).ParseLimits("-5 °C to 5 °C"); !ok || low.String() != "-5 °C" || high.String() != "5 °C" {
		t.Errorf("%s to %s", low, high)
	}
}

func TestParseDefault(t *testing.T) {
	if q, err := ParseDefault("6", "min"); err != nil || q.String() != "6 min" {
		t.Errorf("6 is %s, %v", q, err)
	}
	if q, err := ParseDefault("6 h", "min"); err != nil || q.String() != "6 h" {
		t.Errorf("6 h is %s, %v", q, err)
	}
	if q, err := ParseDefault("6", "fortnight"); err == nil {
		t.Errorf("6 of an unknown unit is %s", q)
	}
}

func TestParseAs(t *testing.T) {
	if _, err := ParseAs("45 N·m", Torque); err != nil {
		t.Error(err)
	}
	_, err := ParseAs(" 45 kg ", Torque)
	var e *ParseError
	if !errors.As(err, &e) || e.Input[e.Offset:e.End] != "45 kg" || e.Error() != "45 kg measures mass, and torque is wanted here" ||
		e.Advice.String() != "Use N·m, N·cm, kgf·m, lbf·ft or lbf·in." {
		t.Errorf("45 kg as a torque: %#v", err)
	}
}

func TestParseEstimate(t *testing.T) {
	for _, c := range []struct {
		in      string
		a, m, b float64
	}{
		{"4/6/10", 4, 6, 10}, {"6", 6, 6, 6}, {"4/6/10 min", 4, 6, 10}, {"0.5 h", 30, 30, 30},
		{" 4 / 6 / 10 ", 4, 6, 10}, {"0.5/1/2 h", 30, 60, 120}, {"30/60/90 s", 0.5, 1, 1.5}, {"1 h 30 min", 90, 90, 90}, {"1 1/2 h", 90, 90, 90}, {"1/2 h", 30, 30, 30}, {"0/0/1", 0, 0, 1},
	} {
		a, m, b, err := ParseEstimate(c.in)
		if err != nil || a != c.a || m != c.m || b != c.b {
			t.Errorf("%q: %v/%v/%v, %v", c.in, a, m, b, err)
		}
	}
	for _, c := range []struct{ in, bad, message string }{
		{"", "", "empty"},
		{"4/6", "4/6", "one value or three"},
		{"1/2/3/4", "1/2/3/4", "one value or three"},
		{"-4", "-4", "negative"},
		{"-4/6/10", "-4", "negative"},
		{" 4/6/-10", "-10", "negative"},
		{"7/6/10", "7/6", "optimistic"},
		{"4/11/10", "11/10", "pessimistic"},
		{"4/6/10 kg", "10 kg", "not time"},
		{"4/6/10 mn", "mn", "unknown unit"},
		{"4 min/6/10", "min", "once, after the last"},
		{"4//10", "", "missing"},
		{"4/x/10", "x", "start with a number"},
		{"4/6/", "", "empty"},
		{"4,5/6/10", "4,5", "decimal comma"},
		{"1/2", "1/2", "one value or three"},
		{"4/6 min", "4/6 min", "one value or three"},
	} {
		_, _, _, err := ParseEstimate(c.in)
		var e *ParseError
		if !errors.As(err, &e) {
			t.Errorf("%q: %v; want a ParseError", c.in, err)
			continue
		}
		if got := e.Input[e.Offset:e.End]; got != c.bad || !strings.Contains(e.Error(), c.message) || e.Advice.Empty() || e.Input != c.in {
			t.Errorf("%q: %q at %q, want %q at %q", c.in, e.Error(), got, c.message, c.bad)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"45 N·m", "33 lb-ft", "2,5 L", "1 000 N", "-5 °C", ".5", "4/6/10 min", "−1", "\u202f1\u00a0kg", "\xff", "1\xff", "1,\xe2\x80"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		_, _, _, estimateErr := ParseEstimate(s)
		q, err := Parse(s)
		for _, err := range []error{err, estimateErr} {
			if err == nil {
				continue
			}
			e, ok := err.(*ParseError)
			if !ok || e.Input != s || e.Offset < 0 || e.Offset > e.End || e.End > len(s) || e.Wrong.Empty() || e.Advice.Empty() {
				t.Fatalf("%q: bad error %#v", s, err)
			}
			if utf8.ValidString(s) && !utf8.ValidString(s[e.Offset:e.End]) {
				t.Fatalf("%q: the error cuts a character: %d to %d", s, e.Offset, e.End)
			}
		}
		if err != nil {
			return
		}
		again, err := Parse(q.String())
		if err != nil || !again.Equal(q) || again.String() != q.String() {
			t.Fatalf("%q is written %q and read back as %q (%v)", s, q, again, err)
		}
	})
}

// FuzzWithin reads any text as a quantity with a tolerance, with a point and with a comma. What is read keeps
// its window when it is written out again, and a text is never two different amounts.
func FuzzWithin(f *testing.F) {
	for _, s := range []string{"45 ± 5 N·m", "23-27 lbf·ft", "13 mm +/- 0.1 mm", "45 N·m ± 10 %", "1 1/2–2 in", "1 h 30 min", "1.234,5 kg", "1,234.5 kg", "½ in", "-5 to 5 °C", "1\u202f000 N", "1/", "1-", "±", "1h1h"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		point, tolerance, err := Reading{}.ParseWithin(s, "")
		if err != nil {
			if e, ok := err.(*ParseError); !ok || e.Input != s || e.Offset < 0 || e.Offset > e.End || e.End > len(s) || e.Wrong.Empty() || e.Advice.Empty() {
				t.Fatalf("%q: bad error %#v", s, err)
			}
		} else if !tolerance.IsZero() {
			low, high, err := point.Window(tolerance)
			if err != nil || low.Compare(high) > 0 || tolerance.Sign() < 0 {
				t.Fatalf("%q is from %s to %s, %v", s, low, high, err)
			}
		}
		comma, _, commaErr := Reading{Comma: true}.ParseWithin(s, "")
		if err == nil && commaErr == nil && !strings.Contains(s, ",") && !point.Equal(comma) {
			t.Fatalf("%q is %s, and %s with a decimal comma", s, point, comma)
		}
	})
}
