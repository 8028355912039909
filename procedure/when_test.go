package procedure

import (
	"slices"
	"testing"
)

func TestParseWhen(t *testing.T) {
	for _, c := range []struct {
		in    string
		want  When
		wrong string
		ok    bool
	}{
		{"worn", "worn", "", true},
		{"not  worn", "not worn", "", true},
		{"runout out", "runout", "", true},
		{"runout within", "not runout", "", true},
		{"not runout within", "runout", "", true},
		{"worn and not tight or stuck", "worn and not tight or stuck", "", true},
		{"seal fails or seal passes", "seal or not seal", "", true},
		{"", "", "", false},
		{"worn and", "", "", false},
		{"worn tight", "", "tight", false},
		{"Worn", "", "Worn", false},
		{"not not worn", "", "not", false},
	} {
		got, wrong, ok := ParseWhen(c.in)
		if got != c.want || wrong != c.wrong || ok != c.ok {
			t.Errorf("%q: %q, %q, %v; want %q, %q, %v", c.in, got, wrong, ok, c.want, c.wrong, c.ok)
		}
	}
}

func TestWhenHolds(t *testing.T) {
	c := When("worn and not tight or stuck")
	for _, x := range []struct {
		worn, tight, stuck, want bool
	}{{true, false, false, true}, {true, true, false, false}, {false, false, true, true}, {false, false, false, false}} {
		if got := c.Holds(map[string]bool{"worn": x.worn, "tight": x.tight, "stuck": x.stuck}); got != x.want {
			t.Errorf("%+v: %v", x, got)
		}
	}
	if got := c.Chance(map[string]float64{"worn": 0.5, "tight": 0.5, "stuck": 0.5}); got != 0.625 { // 1 - 3/4 · 1/2
		t.Errorf("the chance is %v, want 0.625", got)
	}
	if !When("").Holds(nil) {
		t.Error("no condition does not hold")
	}
}

// TestWhenOf gives back, for every set of answers to three names, a condition that holds for just these.
func TestWhenOf(t *testing.T) {
	names := []string{"a", "b", "c"}
	every := everyAnswer(names)
	for set := 1; set < 1<<len(every); set++ {
		chosen := func(answers map[string]bool) bool {
			i := slices.IndexFunc(every, func(x map[string]bool) bool {
				return x["a"] == answers["a"] && x["b"] == answers["b"] && x["c"] == answers["c"]
			})
			return set&(1<<i) != 0
		}
		c := WhenOf(names, chosen)
		for _, answers := range every {
			if c.Holds(answers) != chosen(answers) {
				t.Fatalf("set %b: %q is wrong for %v", set, c, answers)
			}
		}
		if again, _, ok := ParseWhen(string(c)); c != "" && (!ok || again != c) {
			t.Errorf("%q is not its own plain form: %q", c, again)
		}
	}
	if c := WhenOf(names, func(x map[string]bool) bool { return x["b"] }); c != "b" {
		t.Errorf("what follows from b alone is %q", c)
	}
}

func FuzzWhen(f *testing.F) {
	f.Add("worn and not tight or stuck")
	f.Add("gap within or not gap out")
	f.Fuzz(func(t *testing.T, s string) {
		c, _, ok := ParseWhen(s)
		if !ok {
			return
		}
		again, _, ok := ParseWhen(string(c))
		if !ok || again != c {
			t.Errorf("%q becomes %q and then %q", s, c, again)
		}
	})
}
