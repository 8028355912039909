package wording

import (
	"slices"
	"testing"
	"unicode/utf8"
)

func texts(text string, ranges []Range) []string {
	out := []string{}
	for _, r := range ranges {
		out = append(out, text[r.Start:r.End])
	}
	return out
}

func TestSentences(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string
	}{
		{"", nil},
		{" … ", nil},
		{"Undo the bolt", []string{"Undo the bolt"}},
		{" Undo the bolt.  Mark it. ", []string{"Undo the bolt.", "Mark it."}},
		{"Drain 2.5 L of oil. Wait.", []string{"Drain 2.5 L of oil.", "Wait."}},
		{"Use a drift, e.g. brass. Hit it.", []string{"Use a drift, e.g. brass.", "Hit it."}},
		{"Lift it approx. 5 mm. Stop.", []string{"Lift it approx. 5 mm.", "Stop."}},
		{"Use a soft drift, i.e. Brass or lead.", []string{"Use a soft drift, i.e. Brass or lead."}},
		{"Take nuts, washers etc. Put them in Bag 2.", []string{"Take nuts, washers etc.", "Put them in Bag 2."}},
		{"Nuts, washers etc. are in Bag 2.", []string{"Nuts, washers etc. are in Bag 2."}},
		{"Wait 5 min. Then look.", []string{"Wait 5 min.", "Then look."}},
		{"See Fig. 3. Undo 4 and 5. 6 stays in.", []string{"See Fig. 3.", "Undo 4 and 5.", "6 stays in."}},
		{"Is it dead? Prove it! Good.", []string{"Is it dead?", "Prove it!", "Good."}},
		{"(Keep it level.) Set it down.", []string{"(Keep it level.)", "Set it down."}},
		{"He said “Stop.” Then he left.", []string{"He said “Stop.”", "Then he left."}},
		{"Loosen it… Now lift.", []string{"Loosen it…", "Now lift."}},
		{"Fit part B. Turn it.", []string{"Fit part B.", "Turn it."}},
		{"Leave it in: it carries the gearbox; see step 4.", []string{"Leave it in: it carries the gearbox; see step 4."}},
	} {
		if got := texts(c.text, slices.Collect(Sentences(c.text))); !slices.Equal(got, c.want) && len(got)+len(c.want) > 0 {
			t.Errorf("%q: %q, want %q", c.text, got, c.want)
		}
	}
}

// Source: Flesch's counting rules, by a public copy.
func TestUnits(t *testing.T) {
	for text, want := range map[string]int{
		"Leave it in: it carries the gearbox; see step 4.": 3,
		"Lift it — slowly.":                                2, "Lift it – slowly.": 2, "Pages 3–5 show it.": 1, "At 10:30 we start.": 1, "Why? Because.": 2, "": 0,
	} {
		if got := len(slices.Collect(units(text))); got != want {
			t.Errorf("%q: %d units, want %d", text, got, want)
		}
	}
}

func TestWords(t *testing.T) {
	for text, want := range map[string][]string{
		"Undo (both) M12×1.25 nuts, then don't stop!": {"Undo", "both", "M12×1.25", "nuts", "then", "don't", "stop"},
		"45 N·m, 5 % and/or -5 °C":                    {"45", "N·m", "5", "%", "and/or", "5", "°C"},
		"a two-person lift—slowly … – now":            {"a", "two-person", "lift", "slowly", "now"},
	} {
		if got := texts(text, slices.Collect(Words(text))); !slices.Equal(got, want) {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

func FuzzCheck(f *testing.F) {
	for _, s := range []string{"Undo the bolt and remove the cover. It must be drained.", "e.g.", "…", "a—b", "\xff.", "Use it properly, etc.", "5 min. And", "İ. ı"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		end := 0
		for r := range Sentences(s) {
			if r.Start < end || r.End <= r.Start || r.End > len(s) {
				t.Fatalf("%q: sentence %v after %d", s, r, end)
			}
			end = r.End
		}
		for r := range Words(s) {
			if Syllables(s[r.Start:r.End]) < 1 {
				t.Fatalf("%q has no syllable", s[r.Start:r.End])
			}
		}
		for _, a := range new(Vocabulary).Check(s, Instruction, "en") {
			if a.Start < 0 || a.End <= a.Start || a.End > len(s) || a.Detail.Empty() || a.Better.Empty() || a.Kind == "" {
				t.Fatalf("%q: %+v", s, a)
			}
			if utf8.ValidString(s) && !utf8.ValidString(s[a.Start:a.End]) {
				t.Fatalf("%q: the advice cuts a character", s)
			}
		}
	})
}
