package position

import (
	"errors"
	"testing"
)

func TestParse(t *testing.T) {
	for _, c := range []struct {
		in   string
		want List
		err  error
	}{
		{"420", "420", nil}, {" 420 mm ", "420", nil}, {"42 cm", "420", nil}, {"0.42m", "420", nil}, {"−12.5", "-12.5", nil},
		{"1 in", "25.4", nil}, {"420, 0, 310", "420, 0, 310", nil}, {"0;800", "0 / 800", nil}, {"1,2,3 / 4,5,6", "1, 2, 3 / 4, 5, 6", nil},
		{"100 m", "100000", nil},
		{"", "", ErrForm}, {"left", "", ErrForm}, {"1;", "", ErrForm}, {"420 kg", "", ErrForm}, {"1e3", "", ErrForm}, {"420, 5", "", ErrNumbers},
		{"1, 2, 3, 4", "", ErrNumbers}, {"1; 2, 3, 4", "", ErrMixed}, {"101 m", "", ErrFar}, {"1;2;3;4;5;6;7;8;9;10;11;12;13", "", ErrMany},
	} {
		got, err := Parse(c.in)
		if got != c.want || !errors.Is(err, c.err) {
			t.Errorf("Parse(%q) = %q, %v, want %q, %v", c.in, got, err, c.want, c.err)
		}
	}
}

func TestParseSize(t *testing.T) {
	for in, want := range map[string]Size{
		"700 mm x 500 mm": "700 x 500", "70cm×0.5m": "700 x 500", "700": "", "700 x": "", "0 x 5": "", "-1 x 5": "", "1 x 2 x 3": "", "1;2 x 3": "",
	} {
		if got, err := ParseSize(in); got != want || (err == nil) != (want != "") {
			t.Errorf("ParseSize(%q) = %q, %v, want %q", in, got, err, want)
		}
	}
}

func TestPoints(t *testing.T) {
	p := List("1, 2, -3.5 / 4, 5, 6").Points()
	if len(p) != 2 || Of(p[0], false) != "1, 2, -3.5" || Of(p[1], true) != "4" || List("").Points() != nil {
		t.Errorf("%v", p)
	}
	if !List("1 / 2").Line() || List("1, 2, 3").Line() || List("").Line() {
		t.Error("which places lie along a line")
	}
}

// What is read is written so that it reads the same again, places and sizes.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"420", "420, 0, 310; 1 in, 2 cm, 0.5 m", "−1", "700 mm x 500 mm", "1/2", ";"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if size, err := ParseSize(s); err == nil {
			if again, err := ParseSize(string(size)); err != nil || again != size {
				t.Fatalf("%q reads as %q, and that as %q, %v", s, size, again, err)
			}
		}
		l, err := Parse(s)
		if err != nil {
			return
		}
		if again, err := Parse(string(l)); err != nil || again != l {
			t.Fatalf("%q reads as %q, and that as %q, %v", s, l, again, err)
		}
		if len(l.Points()) == 0 {
			t.Fatalf("%q has no places", l)
		}
	})
}
