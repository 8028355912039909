package content_test

import (
	"strings"
	"testing"

	"matchmark/procedure"
)

// partlyShown are the fasteners of which a figure shows fewer than there are, and the words of its description that say so.
var partlyShown = map[string]string{
	"mixer-overall 1": "Four of its eight screws show",
	"pump-set 1":      "A guard of sheet covers the coupling",
	"pump-set 2":      "two of them in sight",
	"fan-on-table 4":  "One of the two upper and one of the two lower nuts show",
	"blower-set 1":    "Two of the screws of guard and lid, one bolt of each pair of feet and two bell bolts show",
	"blower-set 2":    "Two of the screws of guard and lid, one bolt of each pair of feet and two bell bolts show",
	"blower-set 3":    "Two of the screws of guard and lid, one bolt of each pair of feet and two bell bolts show",
	"blower-set 4":    "Two of the screws of guard and lid, one bolt of each pair of feet and two bell bolts show",
	"blower-set 5":    "Two of the screws of guard and lid, one bolt of each pair of feet and two bell bolts show",
	"bell-face 4":     "Two guide pins sit in the two upper holes, and bolts in the other six",
	"fan-on-table 5":  "One of the two upper and one of the two lower nuts show",
}

// TestFiguresCountAsTheRowsDo: a figure points at as many pieces of a fastener as its row counts, or its description says how many show.
func TestFiguresCountAsTheRowsDo(t *testing.T) {
	for _, m := range load(t).Machines {
		counts := map[string]int{}
		for _, f := range m.Fasteners {
			counts[f.ID] = max(f.Count, 1)
		}
		for _, f := range m.Figures {
			points := map[string]int{}
			for _, b := range f.Balloons {
				if counts[b.Ref.ID] > 0 {
					points[b.Ref.ID] += len(b.Targets)
				}
			}
			for no, n := range points {
				words, partly := partlyShown[f.ID+" "+no]
				switch {
				case n > counts[no]:
					t.Errorf("%s, %s: the figure points at %d pieces of fastener %s, and there are %d", m.ID, f.ID, n, no, counts[no])
				case n < counts[no] && !(partly && strings.Contains(f.Describe, words)):
					t.Errorf("%s, %s: the figure points at %d of %d pieces of fastener %s, and its description does not say that", m.ID, f.ID, n, counts[no], no)
				}
			}
		}
	}
}

// TestFiguresHaveLeftAndRightWhereTheRowsHave: a figure that shows a part of one side shows it on that side of the gearbox, and what two
// figures from the same side show stands on the same side in both.
func TestFiguresHaveLeftAndRightWhereTheRowsHave(t *testing.T) {
	lib := load(t)
	mixer := machineNamed(t, lib, "spiral-mixer")
	centre := map[string]float64{"open-column": 400, "feet-left": 464, "feet-right": 334} // the shaft, in the units of each picture
	side := func(figure, ref string) string {
		for _, f := range mixer.Figures {
			if f.ID != figure {
				continue
			}
			for _, b := range f.Balloons {
				if b.Ref.ID == ref {
					if b.Targets[0].X < centre[figure] {
						return "left"
					}
					return "right"
				}
			}
		}
		return ""
	}
	for figure := range centre {
		for _, p := range mixer.Parts {
			if at := side(figure, p.ID); p.Side != "" && at != "" && at != string(p.Side) {
				t.Errorf("%s shows the %s at the %s", figure, p.ID, at)
			}
		}
		if at := side(figure, "19"); at != "right" {
			t.Errorf("%s shows the rear bolt at the %s; seen from behind it stands at the right", figure, at)
		}
	}
	sheeter := machineNamed(t, lib, "dough-sheeter")
	for _, f := range sheeter.Figures {
		for _, b := range f.Balloons {
			if f.ID == "scraper-and-block" && (b.Ref.ID == "left-cap" && b.Targets[0].X > 400 || b.Ref.ID == "right-cap" && b.Targets[0].X < 400) {
				t.Errorf("%s shows the %s on the wrong side", f.ID, b.Ref.ID)
			}
		}
	}
}

// numbers as descriptions write them.
var numbers = map[string]int{"one": 1, "two": 2, "three": 3, "four": 4, "six": 6, "eight": 8, "ten": 10}

// TestDescriptionsCountAsTheRowsDo: where a description says how many there are of what the figure is about, the row says the same.
func TestDescriptionsCountAsTheRowsDo(t *testing.T) {
	lib := load(t)
	for _, x := range []struct{ machine, figure, words, no string }{
		{"spiral-mixer", "mixer-overall", "of its %n screws show", "1"},
		{"spiral-mixer", "open-column", "held by %n bolts", "2"},
		{"spiral-mixer", "header-tank", "held by %n bolts", "9"},
		{"spiral-mixer", "feet-left", "%n bolts hold it to the casing", "15"},
		{"spiral-mixer", "feet-left", "%n hold it to the rail", "16"},
		{"spiral-mixer", "feet-right", "%n bolts hold it to the casing", "17"},
		{"spiral-mixer", "feet-right", "%n hold it to the rail", "18"},
		{"dough-sheeter", "sheeter-overall", "turns on %n hinge pins", "1"},
		{"dough-sheeter", "scraper-and-block", "held by %n screws", "2"},
		{"dough-sheeter", "scraper-and-block", "A cap with %n bolts closes each block", "6"},
		{"deck-oven", "oven-panel", "%n screws hold the rear panel", "1"},
		{"deck-oven", "oven-fan", "held by %n spring clips", "2"},
	} {
		m := machineNamed(t, lib, x.machine)
		for _, f := range m.Figures {
			if f.ID != x.figure {
				continue
			}
			found := false
			for word, n := range numbers {
				if strings.Contains(strings.ToLower(f.Describe), strings.ToLower(strings.ReplaceAll(x.words, "%n", word))) {
					found = true
					if row := rowNumbered(m, x.no); row == nil || max(row.Count, 1) != n {
						t.Errorf("%s: the description says %s, and the row of %s does not", x.figure, strings.ReplaceAll(x.words, "%n", word), x.no)
					}
				}
			}
			if !found {
				t.Errorf("%s: the description no longer says %q", x.figure, x.words)
			}
		}
	}
}

// TestStrokesAreAsTheRowsSay: one stroke marks the left twin and two the right one, in rows and descriptions.
func TestStrokesAreAsTheRowsSay(t *testing.T) {
	lib := load(t)
	for _, x := range []struct{ machine, part, figure, words string }{
		{"spiral-mixer", "left-foot", "feet-left", "One paint stroke crosses foot and casing"},
		{"spiral-mixer", "right-foot", "feet-right", "Two paint strokes cross foot and casing"},
		{"dough-sheeter", "left-cap", "scraper-and-block", "One paint stroke crosses the left seam"},
		{"dough-sheeter", "right-cap", "scraper-and-block", "two cross the right seam"},
	} {
		m := machineNamed(t, lib, x.machine)
		strokes := strings.ToLower(strings.Fields(x.words)[0])
		for _, p := range m.Parts {
			if p.ID == x.part && !strings.Contains(p.Mark, strokes+" stroke") {
				t.Errorf("%s: the row says %q, the figure %q", x.part, p.Mark, x.words)
			}
		}
		for _, f := range m.Figures {
			if f.ID == x.figure && !strings.Contains(f.Describe, x.words) {
				t.Errorf("%s: the description does not say %q", f.ID, x.words)
			}
		}
	}
}

func machineNamed(t *testing.T, lib *procedure.Library, id string) *procedure.Machine {
	t.Helper()
	for _, m := range lib.Machines {
		if m.ID == id {
			return m
		}
	}
	t.Fatalf("no machine %s", id)
	return nil
}

func rowNumbered(m *procedure.Machine, no string) *procedure.Fastener {
	for _, f := range m.Fasteners {
		if f.ID == no {
			return f
		}
	}
	return nil
}
