package fastening

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"matchmark/procedure/measure"
)

func TestParseThread(t *testing.T) {
	for _, c := range []struct {
		in, want    string
		d, p        float64
		left, finer bool
	}{
		{"M12", "M12", 12, 1.75, false, false},
		{" M12 ", "M12", 12, 1.75, false, false},
		{"M12x1.25", "M12×1.25", 12, 1.25, false, true},
		{"M12×1.25", "M12×1.25", 12, 1.25, false, true},
		{"M12 x 1.50", "M12×1.5", 12, 1.5, false, true},
		{"M12x1.75", "M12", 12, 1.75, false, false},
		{"M2.5", "M2.5", 2.5, 0.45, false, false},
		{"M20x1.5-LH", "M20×1.5-LH", 20, 1.5, true, true},
		{"M10-6g", "M10-6g", 10, 1.5, false, false},
		{"M10×1-5g6g-LH", "M10×1-5g6g-LH", 10, 1, true, true},
		{"M10 - 6H/6g", "M10-6H/6g", 10, 1.5, false, false},
		{"M30x1.5", "M30×1.5", 30, 1.5, false, true},
	} {
		got, err := ParseThread(c.in)
		if err != nil || got.String() != c.want || got.Diameter != c.d || got.Pitch != c.p || got.LeftHand != c.left || got.Coarse == c.finer {
			t.Errorf("%q: %+v written %q (%v), want %q", c.in, got, got, err, c.want)
		}
	}
}

func TestWrongThreads(t *testing.T) {
	for _, c := range []struct{ in, bad, suggest, do string }{
		{"", "", "", "M12"},
		{"m12", "m12", "M12", "M12"},
		{"M 12", "M 12", "M12", "M12"},
		{"M13", "13", "12", "M12"},
		{"M12.5", "12.5", "12", "M12"},
		{"M99", "99", "100", "M100"},
		{"M12x1.3", "1.3", "1.25", "1.75 mm, 1.5 mm, 1.25 mm or 1 mm"},
		{"M12x60", "60", "1.75", "length"},
		{"M12X1.25", "X1.25", "×1.25", "M12×1.25"},
		{"M12-1.25", "-1.25", "×1.25", "M12×1.25"},
		{"M12*1.25", "*1.25", "×1.25", "M12×1.25"},
		{"M12x1,25", ",", ".", "point"},
		{"M25", "", "", "2 mm, 1.5 mm or 1 mm"},
		{"M12 bolt", "bolt", "", "only the designation"},
		{"M12-LH-LH", "LH", "", "only the designation"},
		{"M12-9.8", "9.8", "", "only the designation"},
		{"M1.2.3", "1.2.3", "", "millimetres"},
		{"M12.", "12.", "", "millimetres"},
	} {
		got, err := ParseThread(c.in)
		var e *measure.ParseError
		if !errors.As(err, &e) {
			t.Errorf("%q: %v, %v; want a fault", c.in, got, err)
			continue
		}
		if bad := e.Input[e.Offset:e.End]; bad != c.bad || e.Suggest != c.suggest || !strings.Contains(e.Advice.String(), c.do) || e.Wrong.Empty() {
			t.Errorf("%q: %q at %q, do %q, suggest %q; want %q, %q, %q", c.in, e.Error(), bad, e.Advice.String(), e.Suggest, c.bad, c.do, c.suggest)
		}
	}
}

func TestOtherThreads(t *testing.T) {
	for _, s := range []string{"G 1/2", "circlip", "1/4-18 NPT", "Tr 20x4", "MJ6x1", "M", "Mx", "R 1/8", "16x1.5", "M16×Ph3P1.5", "M125x6"} {
		if got, err := ParseThread(s); !errors.Is(err, ErrNotCovered) {
			t.Errorf("%q: %v, %v; want ErrNotCovered", s, got, err)
		}
	}
}

func TestThreadTable(t *testing.T) {
	for i, s := range sizes {
		if i > 0 && s.diameter <= sizes[i-1].diameter {
			t.Errorf("M%v stands after M%v", s.diameter, sizes[i-1].diameter)
		}
		p := s.pitches()
		if len(p) == 0 || !slices.IsSortedFunc(p, func(a, b float64) int { return int(math.Copysign(1, b-a)) }) || p[0] >= s.diameter/2 {
			t.Errorf("M%v has pitches %v", s.diameter, p)
		}
	}
}

func FuzzParseThread(f *testing.F) {
	for _, s := range []string{"M12", "M12x1.25", "M12×1.25-6g-LH", "m12", "M 12", "M12,5", "G 1/2", "1/2-13 UNC", "1-1/8-12 UNF-2A-LH", "#10-32", "M16×Ph3P1.5", "M12-", "M1e3", "M12x", "×", "M\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		thread, err := ParseThread(s)
		var e *measure.ParseError
		switch {
		case err == nil:
			again, err := ParseThread(thread.String())
			if err != nil || again != thread {
				t.Fatalf("%q is written %q and read back as %+v (%v)", s, thread, again, err)
			}
			if a := thread.StressArea(); !(a > 0 && a < math.Pi/4*thread.Diameter*thread.Diameter) {
				t.Fatalf("%q has a stress area of %v", s, a)
			}
		case errors.As(err, &e):
			if e.Input != s || e.Offset < 0 || e.Offset > e.End || e.End > len(s) || e.Wrong.Empty() || e.Advice.Empty() {
				t.Fatalf("%q: bad error %#v", s, e)
			}
			if utf8.ValidString(s) && !utf8.ValidString(s[e.Offset:e.End]) {
				t.Fatalf("%q: the error cuts a character", s)
			}
		case !errors.Is(err, ErrNotCovered):
			t.Fatalf("%q: %v", s, err)
		}
	})
}
