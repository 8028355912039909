package measure

import (
	"math"
	"testing"

	"gotest.tools/v3/assert"
	"pgregory.net/rapid"
)

func TestString(t *testing.T) {
	for _, c := range []struct{ in, want, unit string }{
		{"45 N·m", "45 N·m", "N·m"},
		{"45Nm", "45 N·m", "N·m"},
		{" 45  N m ", "45 N·m", "N·m"},
		{"45 N⋅m", "45 N·m", "N·m"},
		{"33 lb-ft", "33 lbf·ft", "lbf·ft"},
		{"33 lbf.ft", "33 lbf·ft", "lbf·ft"},
		{"2.50 L", "2.50 L", "L"},
		{"-5 °C", "-5 °C", "°C"},
		{"60 deg", "60°", "°"},
		{"3 pcs", "3 pcs", "pcs"},
		{"5 %", "5 %", "%"},
		{"5\u202f%", "5 %", "%"},
		{"0 kg", "0 kg", "kg"},
		{"1 short ton", "1 short ton", "short ton"},
	} {
		q, err := Parse(c.in)
		if err != nil {
			t.Errorf("Parse(%q): %v", c.in, err)
			continue
		}
		if q.String() != c.want || q.Unit() != c.unit || q.IsZero() {
			t.Errorf("Parse(%q) = %q of unit %q, want %q of unit %q", c.in, q, q.Unit(), c.want, c.unit)
		}
	}
	if z := (Quantity{}); z.String() != "" || z.Format("kg", 1) != "" || !z.IsZero() || z.Dimension() != NoDimension {
		t.Errorf("the zero quantity is %q of %v", z, z.Dimension())
	}
}

func TestNew(t *testing.T) {
	fromInt, err := New(45, "Nm")
	if err != nil || fromInt.String() != "45 N·m" {
		t.Errorf("New(45) = %v, %v", fromInt, err)
	}
	fromText, err := New("0.10", "mm")
	if err != nil || fromText.String() != "0.10 mm" {
		t.Errorf("New(0.10) = %v, %v", fromText, err)
	}
	if _, err := New(1, "furlong"); err == nil {
		t.Error("New takes any unit")
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		q, unit  string
		decimals int
		want     string
	}{
		{"45 N·m", "lbf·ft", 0, "33 lbf·ft"}, // 33.19
		{"45 N·m", "lbf·ft", 2, "33.19 lbf·ft"},
		{"45 N·m", "", 1, "45.0 N·m"},
		{"2.5 L", "L", 0, "3 L"}, // halves away from zero
		{"-2.5 °C", "°C", 0, "-3 °C"},
		{"-0.4 °C", "°C", 0, "0 °C"},
		{"45 N·m", "kg", 1, "45.0 N·m"},
		{"90 deg", "deg", 0, "90°"},
	} {
		if got := Must(c.q).Format(c.unit, c.decimals); got != c.want {
			t.Errorf("%s in %q with %d decimals: %q, want %q", c.q, c.unit, c.decimals, got, c.want)
		}
	}
	third, _ := Must("20 s").In("min")
	if third.String() != "0.333333 min" {
		t.Errorf("20 s in minutes is written %q", third)
	}
}

func TestCompare(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"1 h", "60 min", 0}, {"1 in", "25.4 mm", 0}, {"1 in", "25.3 mm", 1}, {"999 g", "1 kg", -1},
		{"0 °C", "32 °F", 0}, {"100 °C", "212 °F", 0}, {"1 short ton", "2000 lb", 0}, {"1 lb", "16 oz", 0},
		{"1 US gal", "4 US qt", 0}, {"1 lbf·ft", "12 lbf·in", 0}, {"1 kgf·m", "9.80665 N·m", 0},
	} {
		if got := Must(c.a).Compare(Must(c.b)); got != c.want {
			t.Errorf("%s against %s: %d, want %d", c.a, c.b, got, c.want)
		}
	}
	if Must("1 kg").Equal(Must("1 m")) || Must("0 kg").Equal(Quantity{}) {
		t.Error("quantities of different dimensions are equal")
	}
}

func TestArithmetic(t *testing.T) {
	sum, err := Must("1 L").Add(Must("250 mL"))
	if err != nil || sum.String() != "1.25 L" {
		t.Errorf("1 L and 250 mL is %q, %v", sum, err)
	}
	if rest, err := Must("1 L").Sub(Must("250 mL")); err != nil || rest.String() != "0.75 L" {
		t.Errorf("1 L less 250 mL is %q, %v", rest, err)
	}
	if got := Must("1.5 kg").Times(4); got.String() != "6 kg" {
		t.Errorf("4 times 1.5 kg is %s", got)
	}
	for _, c := range [][2]string{{"1 L", "1 kg"}, {"1 °C", "1 °C"}} {
		if s, err := Must(c[0]).Add(Must(c[1])); err == nil {
			t.Errorf("%s and %s is %s", c[0], c[1], s)
		}
	}
	if _, err := (Quantity{}).Add(Quantity{}); err == nil {
		t.Error("nothing and nothing can be added")
	}
}

func TestWindow(t *testing.T) {
	for _, c := range []struct{ q, tolerance, low, high string }{
		{"45 N·m", "2 N·m", "43 N·m", "47 N·m"},
		{"45 N·m", "10 %", "40.5 N·m", "49.5 N·m"},
		{"20 %", "5 %", "15 %", "25 %"},
		{"1 m", "5 mm", "0.995 m", "1.005 m"},
	} {
		low, high, err := Must(c.q).Window(Must(c.tolerance))
		if err != nil || low.String() != c.low || high.String() != c.high {
			t.Errorf("%s with %s: %s to %s, %v", c.q, c.tolerance, low, high, err)
		}
	}
	if _, _, err := Must("45 N·m").Window(Must("2 mm")); err == nil {
		t.Error("a torque has a tolerance in millimetres")
	}
}

func TestInFails(t *testing.T) {
	for _, c := range []struct {
		q    Quantity
		unit string
	}{{Must("1 kg"), "m"}, {Must("1 kg"), "stone"}, {Quantity{}, "kg"}} {
		if got, err := c.q.In(c.unit); err == nil {
			t.Errorf("%s in %s is %s", c.q, c.unit, got)
		}
		if f := c.q.Float(c.unit); !math.IsNaN(f) {
			t.Errorf("%s in %s is %v", c.q, c.unit, f)
		}
	}
}

// A conversion there and back gives the same quantity, whatever the units between.
func TestConversionIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(Units()).Draw(t, "unit")
		q, err := New(rapid.StringMatching(`-?[0-9]{1,6}(\.[0-9]{1,4})?`).Draw(t, "number"), u.Symbol)
		assert.NilError(t, err)
		there := q
		for i := 0; i < 3; i++ {
			if there, err = there.In(rapid.SampledFrom(u.Dimension.Units()).Draw(t, "to")); err != nil {
				t.Fatal(err)
			}
		}
		back, err := there.In(u.Symbol)
		if err != nil || !back.Equal(q) || back.number().Cmp(q.number()) != 0 {
			t.Fatalf("%s became %s and came back as %s (%v)", q, there, back, err)
		}
	})
}
