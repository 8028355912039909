package page

import (
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/themes"
)

func shellIn(t *testing.T, lang string) Shell {
	t.Helper()
	theme, err := themes.Load()
	if err != nil {
		t.Fatal(err)
	}
	words, err := theme.Words(lang)
	if err != nil {
		t.Fatal(err)
	}
	return Shell{Words: words}
}

func TestThreadAndLength(t *testing.T) {
	for _, c := range []struct{ thread, length, want string }{
		{"M12x1.25", "40 mm", "M12×1.25 × 40 mm"},
		{"M8", "", "M8"},
		{"", "40 mm", "40 mm"},
		{"", "", ""},
	} {
		f := &procedure.Fastener{Thread: c.thread}
		if c.length != "" {
			f.Length = measure.Must(c.length)
		}
		if got := shellIn(t, "en").ThreadAndLength(f); got != c.want {
			t.Errorf("%s, %s: %q, want %q", c.thread, c.length, got, c.want)
		}
	}
}

// The other unit by 1 lbf·ft = 1.3558179483314004 N·m and 1 kgf·m = 9.80665 N·m, which are
// exact by definition: 18/1.35582 = 13.276, 9/1.35582 = 6.638, 260/1.35582 = 191.77,
// 0.5/1.35582 = 0.36878, 59·1.35582 = 79.993, 8·9.80665 = 78.453.
func TestTorqueInBothUnits(t *testing.T) {
	for _, c := range []struct{ lang, torque, newtonMetres, footPounds string }{
		{"en", "18 N·m", "18 N·m", "13.3 lbf·ft"},
		{"en", "12.5 N·m", "12.5 N·m", "9.22 lbf·ft"},
		{"en", "9.0 N·m", "9.0 N·m", "6.64 lbf·ft"},
		{"de", "9 N·m", "9 N·m", "6,64 lbf·ft"},
		{"en", "260 N·m", "260 N·m", "192 lbf·ft"},
		{"en", "0.5 N·m", "0.5 N·m", "0.369 lbf·ft"},
		{"en", "59 lbf·ft", "80 N·m", "59 lbf·ft"},
		{"en", "8 kgf·m", "8 kgf·m = 78.5 N·m", "57.9 lbf·ft"},
		{"en", "8 kg", "8 kg", ""},
	} {
		newtonMetres, footPounds := shellIn(t, c.lang).Torque(measure.Must(c.torque))
		if newtonMetres != c.newtonMetres || footPounds != c.footPounds {
			t.Errorf("%s: %q, %q; want %q, %q", c.torque, newtonMetres, footPounds, c.newtonMetres, c.footPounds)
		}
	}
}

func TestTightening(t *testing.T) {
	f := &procedure.Fastener{Torque: measure.Must("80 N·m"), Tolerance: measure.Must("5 %"), Angle: measure.Must("90 deg")}
	if got := shellIn(t, "en").Tightening(f); got != "80 N·m (59 lbf·ft) ± 5 % + 90°" {
		t.Errorf("got %q", got)
	}
	f.Tolerance, f.Angle = measure.Quantity{}, measure.Quantity{}
	if got := shellIn(t, "en").Tightening(f); got != "80 N·m (59 lbf·ft)" {
		t.Errorf("got %q", got)
	}
	if got := shellIn(t, "en").Tightening(&procedure.Fastener{}); got != "" {
		t.Errorf("no torque: %q", got)
	}
}
