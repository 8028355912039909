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
		{"45 NM", "NM", "unknown unit", "N·m"},
		{"33 ft lbs", "ft lbs", "unknown unit", "lbf·ft"},
		{"33 foot-pounds", "foot-pounds", "unknown unit", "lbf·ft"},
		{"64 Kg", "Kg", "unknown unit", "kg"},
		{"5 hours", "hours", "unknown unit", "h"},
		{"3 litres", "litres", "unknown unit", "L"},
		{"5 furlongs", "furlongs", "unknown unit", ""},
		{"45 N·m with the long wrench", "N·m with the long wrench", "unknown unit", ""},
		{"45 N·m with the very long wrench", "N·m with the very long wrench", "too long for a unit", ""},
		{"1 gal", "gal", "unknown unit", "US gal"},
		{"2,5 L", "2,5", "decimal comma", "2.5"},
		{"1,000 N", "1,000", "separator", ""},
		{"1.000,5 N", "1.000,5", "separator", ""},
		{"1 000 N", "1 000", "separator", ""},
		{"1'000 N", "1'000", "separator", ""},
		{"1.2.3 N", "1.2.3", "separator", ""},
		{".5 L", ".5", "missing before", "0.5"},
		{"-.5 L", "-.5", "missing before", "-0.5"},
		{"−5 °C", "−", "minus", "-"},
		{"N·m", "N·m", "start with a number", ""},
		{"about 5 kg", "about 5 kg", "start with a number", ""},
		{"1234567890123456789 N", "1234567890123456789", "too long", ""},
		{"5. L", ". L", "unknown unit", ""},
	} {
		q, err := Parse(c.in)
		var e *ParseError
		if !errors.As(err, &e) {
			t.Errorf("Parse(%q) = %s, %v; want a ParseError", c.in, q, err)
			continue
		}
		if got := e.Input[e.Offset:e.End]; got != c.bad || !strings.Contains(e.Message, c.message) || e.Suggest != c.suggest || e.Do == "" {
			t.Errorf("Parse(%q): %q at %q, do %q, suggest %q; want %q at %q, suggest %q", c.in, e.Message, got, e.Do, e.Suggest, c.message, c.bad, c.suggest)
		}
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
	if !errors.As(err, &e) || e.Input[e.Offset:e.End] != "45 kg" || e.Message != "45 kg measures mass, and torque is wanted here" ||
		e.Do != "use N·m, N·cm, kgf·m, lbf·ft or lbf·in" {
		t.Errorf("45 kg as a torque: %#v", err)
	}
}

func TestParseEstimate(t *testing.T) {
	for _, c := range []struct {
		in      string
		a, m, b float64
	}{
		{"4/6/10", 4, 6, 10}, {"6", 6, 6, 6}, {"4/6/10 min", 4, 6, 10}, {"0.5 h", 30, 30, 30},
		{" 4 / 6 / 10 ", 4, 6, 10}, {"0.5/1/2 h", 30, 60, 120}, {"30/60/90 s", 0.5, 1, 1.5}, {"0/0/1", 0, 0, 1},
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
	} {
		_, _, _, err := ParseEstimate(c.in)
		var e *ParseError
		if !errors.As(err, &e) {
			t.Errorf("%q: %v; want a ParseError", c.in, err)
			continue
		}
		if got := e.Input[e.Offset:e.End]; got != c.bad || !strings.Contains(e.Message, c.message) || e.Do == "" || e.Input != c.in {
			t.Errorf("%q: %q at %q, want %q at %q", c.in, e.Message, got, c.message, c.bad)
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
			if !ok || e.Input != s || e.Offset < 0 || e.Offset > e.End || e.End > len(s) || e.Message == "" || e.Do == "" {
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
